package district

import "strings"

// keyLines finds the line of every key and table of a TOML text that decodes without error, by path. Keys inside an
// inline table have no line of their own. Lines inside a multi-line text may be taken for keys; such paths are never asked for.
func keyLines(text string) map[string]int {
	lines := map[string]int{}
	var table []string
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == '#':
		case line[0] == '[':
			if path, _, ok := keyPath(strings.TrimLeft(line, "[ \t")); ok {
				table = path
				noteLine(lines, path, i+1)
			}
		default:
			if path, rest, ok := keyPath(line); ok && strings.HasPrefix(rest, "=") {
				noteLine(lines, append(append([]string{}, table...), path...), i+1)
			}
		}
	}
	return lines
}

// noteLine keeps the first line of a path and of each path above it.
func noteLine(lines map[string]int, path []string, line int) {
	for n := 1; n <= len(path); n++ {
		if key := joinPath(path[:n]); lines[key] == 0 {
			lines[key] = line
		}
	}
}

// joinPath makes one map key of a path; a dotted name stays apart from two names.
func joinPath(path []string) string { return strings.Join(path, "\x00") }

// keyPath reads a dotted key from the head of a line and gives the rest after it.
func keyPath(line string) (path []string, rest string, ok bool) {
	for {
		name, after, ok := keyName(strings.TrimLeft(line, " \t"))
		if !ok {
			return nil, "", false
		}
		path = append(path, name)
		line = strings.TrimLeft(after, " \t")
		if !strings.HasPrefix(line, ".") {
			return path, line, true
		}
		line = line[1:]
	}
}

func keyName(line string) (name, rest string, ok bool) {
	if line == "" {
		return "", "", false
	}
	if quote := line[0]; quote == '"' || quote == '\'' {
		end := strings.IndexByte(line[1:], quote)
		if end < 0 {
			return "", "", false
		}
		return line[1 : 1+end], line[2+end:], true
	}
	end := strings.IndexFunc(line, func(r rune) bool {
		return !(r == '_' || r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z')
	})
	if end < 0 {
		end = len(line)
	}
	return line[:end], line[end:], end > 0
}
