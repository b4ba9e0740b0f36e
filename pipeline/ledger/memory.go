package ledger

import (
	"io/fs"
	"path"
	"strconv"
	"strings"
)

// mostMemory is the most that the database holds in bytes, however large the machine: with more it gains nothing.
const mostMemory = 4 << 30

// memoryLimit is what the database may hold in bytes, half of what there is, so that the program beside it has room; beyond it DuckDB
// spills beside the ledger. There is the machine's memory, or, where that is less, what this process's control groups (version 2 or 1) or
// one above them may take. System is the root of the file system; where it tells nothing the limit is mostMemory.
func memoryLimit(system fs.FS) int64 {
	limit := int64(2 * mostMemory)
	lower := func(name, unit string, scale int64) {
		text, err := fs.ReadFile(system, name)
		if err != nil {
			return
		}
		_, rest, _ := strings.Cut(string(text), unit)
		words := strings.Fields(rest)
		if len(words) == 0 {
			return
		}
		if number, err := strconv.ParseInt(words[0], 10, 64); err == nil && number > 0 && number < limit/scale { // "max" is no number
			limit = number * scale
		}
	}
	lower("proc/meminfo", "MemTotal:", 1<<10)
	groups, _ := fs.ReadFile(system, "proc/self/cgroup")
	for line := range strings.Lines(string(groups)) {
		parts := strings.SplitN(strings.TrimSpace(line), ":", 3) // number, controllers, path
		if len(parts) < 3 {
			continue
		}
		folder, name := "sys/fs/cgroup", "memory.max"
		if parts[1] == "memory" {
			folder, name = "sys/fs/cgroup/memory", "memory.limit_in_bytes"
		} else if parts[1] != "" {
			continue
		}
		for group := path.Join("/", parts[2]); ; group = path.Dir(group) {
			lower(path.Join(folder, group, name), "", 1)
			if group == "/" {
				break
			}
		}
	}
	return limit / 2
}
