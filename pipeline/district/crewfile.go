package district

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
)

// CrewFileName is the district's file of what only its own people may know: the addresses of the crews' pages, and the salt of the labels
// that stand for crews in public files.
const CrewFileName = "crew_addresses.toml"

const crewFileHead = `# Keep this file to yourselves: it leads to the crews' own pages. Each address lies below current/public/.
# Delete a crew's line, and the next night gives it a new address. Delete label_salt, and all crews get new labels in public files.
`

// crewFile is the content of CrewFileName. Addresses are by crew_id, below public/.
type crewFile struct {
	LabelSalt string            `toml:"label_salt"`
	Addresses map[string]string `toml:"addresses"`
}

// Sizes in bytes: 128 bits cannot be guessed; a salt is as long as the hash's output (RFC 2104, section 3).
const (
	TokenBytes = 16
	saltBytes  = sha256.Size
)

var (
	addressForm = regexp.MustCompile(fmt.Sprintf(`^crews/[0-9a-f]{%d}\.html$`, 2*TokenBytes))
	saltForm    = regexp.MustCompile(fmt.Sprintf(`^[0-9a-f]{%d}$`, 2*saltBytes))
)

// ReadCrewFile reads and checks the file with its text; an absent one is empty. What is wrong with it is a *SettingsFault.
func ReadCrewFile(dir string) (crewFile, string, error) {
	text, err := os.ReadFile(filepath.Join(dir, CrewFileName))
	if errors.Is(err, fs.ErrNotExist) {
		return crewFile{}, "", nil
	}
	if err != nil {
		return crewFile{}, "", err
	}
	content, err := parseCrewFile(string(text))
	return content, string(text), err
}

func parseCrewFile(text string) (content crewFile, err error) {
	known, err := toml.Decode(text, &content)
	if err != nil {
		return content, &SettingsFault{[]contract.LineFault{syntaxFault(CrewFileName, err)}}
	}
	r := &settingsReader{file: CrewFileName, lines: keyLines(text)}
	for _, key := range known.Undecoded() {
		r.unknown(key, []string{"label_salt", "addresses"})
	}
	if content.LabelSalt != "" && !saltForm.MatchString(content.LabelSalt) {
		r.fault([]string{"label_salt"}, "this is no salt of %d hexadecimal digits; delete the line, and the next night writes a new one",
			2*saltBytes)
	}
	owner := map[string]string{}
	for _, crewID := range contract.SortedKeys(content.Addresses) {
		address, path := content.Addresses[crewID], []string{"addresses", crewID}
		if !addressForm.MatchString(address) {
			r.fault(path, "this is no address such as the program makes; delete the line, and the next night gives the crew a new one")
		}
		if other, isTaken := owner[address]; isTaken {
			r.fault(path, "this is also the address of %q; delete one of the two lines", other)
		}
		owner[address] = crewID
	}
	if len(r.faults) > 0 {
		return content, &SettingsFault{r.faults}
	}
	return content, nil
}

// KeepCrewFile gives every crew an address and the district a salt, and keeps what they had. Lines that stand there are never changed.
// Killed at
// any point, the file is the former one or the new one.
func KeepCrewFile(l disk.Layer, dir string, crewIDs []string) (crewFile, error) {
	content, text, err := ReadCrewFile(dir)
	if err != nil {
		return content, err
	}
	wanted, err := completeCrewFile(content, text, crewIDs)
	if err != nil || wanted == text {
		return content, err
	}
	content, err = parseCrewFile(wanted)
	isPlaced := err == nil
	for _, crewID := range crewIDs {
		isPlaced = isPlaced && content.Addresses[crewID] != ""
	}
	if !isPlaced { // the file is whole, but its end is not inside [addresses]
		return content, &SettingsFault{[]contract.LineFault{{File: CrewFileName,
			Text: "a line for a new crew finds no place at the end; make [addresses] the last table of the file"}}}
	}
	return content, l.WritePrivate(filepath.Join(dir, CrewFileName), []byte(wanted))
}

// completeCrewFile adds the lines that are missing.
func completeCrewFile(content crewFile, text string, crewIDs []string) (string, error) {
	if content.LabelSalt == "" {
		salt, err := randomDigits(saltBytes)
		if err != nil {
			return "", err
		}
		line := "label_salt = " + tomlText(salt) + "\n"
		if text == "" {
			line = crewFileHead + line
		}
		text = line + text // above every table, where a key belongs to none
	}
	if !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	if content.Addresses == nil {
		text += "\n[addresses]\n"
	}
	for _, crewID := range slices.Sorted(slices.Values(crewIDs)) {
		if content.Addresses[crewID] != "" {
			continue
		}
		token, err := randomDigits(TokenBytes)
		if err != nil {
			return "", err
		}
		text += tomlText(crewID) + " = " + tomlText("crews/"+token+".html") + "\n"
	}
	return text, nil
}

// randomDigits draws so many bytes as hexadecimal digits.
func randomDigits(bytes int) (string, error) {
	token := make([]byte, bytes)
	_, err := rand.Read(token)
	return hex.EncodeToString(token), err
}

// shortestLabel is the number of hexadecimal digits of a crew's label: 40 bits.
const shortestLabel = 10

// CrewLabels gives each crew a label that says nothing about it to who does not know the salt, and stays while the salt does: HMAC-SHA256
// (RFC 2104) of the crew_id, cut short, and longer where two crews would share one.
func CrewLabels(salt string, crewIDs []string) map[string]string {
	for digits := shortestLabel; ; digits++ {
		labels, isTaken := map[string]string{}, map[string]bool{}
		for _, crewID := range crewIDs {
			hash := hmac.New(sha256.New, []byte(salt))
			hash.Write([]byte(crewID))
			label := "c" + hex.EncodeToString(hash.Sum(nil))[:digits]
			labels[crewID], isTaken[label] = label, true
		}
		if len(isTaken) == len(labels) || digits == 2*sha256.Size {
			return labels
		}
	}
}
