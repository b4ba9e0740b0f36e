package pipeline

import (
	"embed"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/template"

	"lanetally/pipeline/disk"
)

//go:embed unitfiles/lanetally.service unitfiles/lanetally-failed.service unitfiles/lanetally.timer unitfiles/lanetally.cron
var unitTemplates embed.FS

// unitFileNames are the files of units/ in a district folder.
var unitFileNames = []string{"lanetally.service", "lanetally-failed.service", "lanetally.timer", "lanetally.cron"}

// unitPlaces fills the templates; every text is quoted for where it stands.
type unitPlaces struct {
	Program, Dir, CronProgram, CronDir, CronLog string
}

// writeUnits writes the timer, its services and a cron line that run program over the district folder to units/ below it.
func writeUnits(dir, program string) (folder string, err error) {
	whole, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	templates, err := template.ParseFS(unitTemplates, "unitfiles/*")
	if err != nil {
		return "", err
	}
	places := unitPlaces{
		Program: systemdText(program), Dir: systemdText(whole),
		CronProgram: cronText(program), CronDir: cronText(whole), CronLog: cronText(filepath.Join(whole, "log", "cron.txt")),
	}
	folder = filepath.Join(whole, "units")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	for _, name := range unitFileNames {
		err := disk.Layer{}.WriteAtomic(filepath.Join(folder, name),
			func(w io.Writer) error { return templates.ExecuteTemplate(w, name, places) })
		if err != nil {
			return "", err
		}
	}
	return folder, nil
}

// systemdText quotes a text as systemd.syntax(7) and systemd.unit(5) have it: in double quotes with C escapes where it holds
// anything but plain characters, and % twice.
func systemdText(text string) string {
	text = strings.ReplaceAll(text, "%", "%%")
	if strings.IndexFunc(text, isNotPlain) < 0 {
		return text
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "$", "$$").Replace(text) + `"`
}

// cronText quotes a text for the shell that cron starts; crontab(5) ends the command at a bare %.
func cronText(text string) string {
	if strings.IndexFunc(text, isNotPlain) < 0 {
		return text
	}
	return "'" + strings.NewReplacer("'", `'\''`, "%", `\%`, "\n", "").Replace(text) + "'"
}

func isNotPlain(r rune) bool {
	return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("/._-+:@,", r))
}
