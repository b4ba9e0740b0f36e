package ledger

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
)

// Half of the least of what the machine, the process's control group and those above it have, by hand; at most 4 GiB.
func TestMemoryLimit(t *testing.T) {
	const gib = 1 << 30
	for name, c := range map[string]struct {
		files map[string]string
		want  int64
	}{
		"nothing told": {nil, 4 * gib},
		"machine":      {map[string]string{"proc/meminfo": "MemTotal:        2097152 kB\nMemFree: 1 kB\n"}, gib},
		"large":        {map[string]string{"proc/meminfo": "MemTotal:      268435456 kB\n"}, 4 * gib},
		"version 2": {map[string]string{"proc/meminfo": "MemTotal: 8388608 kB\n", "proc/self/cgroup": "0::/system.slice/x.service\n",
			"sys/fs/cgroup/system.slice/x.service/memory.max": "2147483648\n", "sys/fs/cgroup/system.slice/memory.max": "max\n"}, gib},
		"above": {map[string]string{"proc/meminfo": "MemTotal: 8388608 kB\n", "proc/self/cgroup": "0::/a/b\n",
			"sys/fs/cgroup/a/b/memory.max": "max\n", "sys/fs/cgroup/a/memory.max": "1073741824\n"}, gib / 2},
		"version 1": {map[string]string{"proc/meminfo": "MemTotal: 8388608 kB\n", "proc/self/cgroup": "5:cpu:/c\n4:memory:/c\n0::/\n",
			"sys/fs/cgroup/memory/c/memory.limit_in_bytes": "536870912\n",
			"sys/fs/cgroup/memory/memory.limit_in_bytes":   "9223372036854771712\n"}, gib / 4},
		"own root": {map[string]string{"proc/self/cgroup": "0::/\n", "sys/fs/cgroup/memory.max": "2147483648\n"}, gib},
	} {
		system := fstest.MapFS{}
		for file, text := range c.files {
			system[file] = &fstest.MapFile{Data: []byte(text)}
		}
		assert.Equal(t, c.want, memoryLimit(system), name)
	}
}
