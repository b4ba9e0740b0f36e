package district

import (
	"os"
	"strings"

	"github.com/BurntSushi/toml"
)

// NotifyCommand gives the words of [notify] command of a district.toml; none where it names no program. Faults elsewhere in the file do
// not hide it: where the file is no TOML, the lines from [notify] to the next table are read alone.
func NotifyCommand(path string) []string {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	var settings struct {
		Notify struct{ Command []string }
	}
	if _, err := toml.Decode(string(text), &settings); err == nil {
		return settings.Notify.Command
	}
	_, section, _ := strings.Cut("\n"+string(text), "\n[notify]")
	section, _, _ = strings.Cut(section, "\n[")
	if _, err := toml.Decode("[notify]"+section, &settings); err != nil {
		return nil
	}
	return settings.Notify.Command
}
