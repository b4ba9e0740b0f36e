package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
)

// mostCauses bounds what an error lists.
const mostCauses = 12

// gateFault holds a release up: exit code 65.
type gateFault struct {
	dir    string
	causes []rows.GateCause
}

// Error gives a line for each cause with its remedy, and how to publish all the same.
func (g gateFault) Error() string {
	lines := []string{"tonight's figures do not go live, and last night's release stands:"}
	for i, cause := range g.causes {
		if i == mostCauses {
			lines = append(lines, fmt.Sprintf("  and %d more, in log/last_run.json", len(g.causes)-i))
			break
		}
		lines = append(lines, fmt.Sprintf("  %s: %s; %s", cause.Kind, cause.Found, cause.Remedy))
	}
	lines = append(lines, fmt.Sprintf("  if it is right as it is: lanetally nightly %s --accept REASON", g.dir))
	return strings.Join(lines, "\n")
}

// judgeGate holds tonight against the live release. The first night has nothing to be held against. What was accepted once, or
// stood already when the live release was published, holds nothing up again.
func (n *night) judgeGate(ctx context.Context) error {
	reference, err := release.ReferenceDigests(n.Dir)
	if err != nil {
		return err
	}
	var note *release.BaselineNote
	err = n.ledger.InTx(ctx, func() error {
		if note, err = release.ReadBaseline(ctx, n.ledger, n.Dir, reference); err != nil {
			return err
		}
		return walk(ctx, n.ledger, n.settings, stretchMoved, stretchGate)
	})
	if err != nil {
		return err
	}
	accepted, err := readAccepted(n.Dir)
	if err != nil {
		return err
	}
	causes, err := readCauses(ctx, n.ledger)
	if err != nil {
		return err
	}
	causes = append(causes, damageCauses(n.report.Load.Damaged)...)
	holding := slices.DeleteFunc(slices.Clone(causes), func(cause rows.GateCause) bool {
		return slices.Contains(note.Standing, cause.Hash) || isAccepted(accepted, []rows.GateCause{cause})
	})
	if len(holding) > 0 {
		if n.Accept == "" {
			n.report.Held = holding
			return gateFault{n.Dir, holding}
		}
		added, err := acceptGates(n.files, n.Dir, n.Accept, n.Now, holding)
		if err != nil {
			return err
		}
		n.report.Accepted = n.Accept
		accepted = append(accepted, added...)
	}
	standing, err := n.standing(ctx, causes)
	if err != nil {
		return err
	}
	if err := fillAcceptedGates(ctx, n.ledger, accepted); err != nil {
		return err
	}
	return release.WriteBaseline(ctx, n.ledger, n.hidden(), n.building, release.BaselineNote{Reference: reference, Standing: standing})
}

// readCauses gives what speaks against the night, in words.
func readCauses(ctx context.Context, l *ledger.Ledger) ([]rows.GateCause, error) {
	causes, err := ledger.ReadTable[rows.GateCause](ctx, l, "select * from gate_causes order by finding_code, subject")
	for i := range causes {
		causes[i] = causes[i].Worded()
	}
	return causes, err
}

// standing gives the hashes of the causes that hold whatever the release before said, so that they hold nothing up tomorrow.
func (n *night) standing(ctx context.Context, causes []rows.GateCause) ([]string, error) {
	hashes := []string{}
	for _, cause := range causes {
		hashes = append(hashes, cause.Hash)
	}
	live, err := release.LiveRelease(n.Dir)
	if err != nil || live != "" {
		return hashes, err
	}
	// On the first night the query tells nothing; what it would tell of passes without weather stands from now on.
	err = n.ledger.InTx(ctx, func() error {
		if err := release.FillLastNight(ctx, n.ledger, n.report.Release, nil); err != nil {
			return err
		}
		if err := walk(ctx, n.ledger, n.settings, stretchGate, stretchGate); err != nil {
			return err
		}
		first, err := readCauses(ctx, n.ledger)
		for _, cause := range first {
			if cause.Code == rows.NoWeatherCause {
				hashes = append(hashes, cause.Hash)
			}
		}
		if err != nil {
			return err
		}
		return release.FillLastNight(ctx, n.ledger, "", nil)
	})
	return hashes, err
}

// damageCauses are what the archive has lost and the inbox does not give again.
func damageCauses(damaged []intake.FileNote) (causes []rows.GateCause) {
	for _, note := range damaged {
		cause := rows.GateCause{Subject: note.File + " " + note.Text,
			Finding: rows.Finding{Code: rows.ArchiveCause, Name: note.File, OtherName: note.Text}}
		causes = append(causes, cause.Worded())
	}
	return causes
}

// isAccepted tells whether a person has let each cause pass.
func isAccepted(accepted []rows.Acceptance, causes []rows.GateCause) bool {
	for _, cause := range causes {
		if !slices.ContainsFunc(accepted, func(a rows.Acceptance) bool { return a.Hash == cause.Hash }) {
			return false
		}
	}
	return true
}

func acceptedPath(dir string) string { return filepath.Join(dir, "archive", "accepted.jsonl") }

// acceptGates records causes as accepted for reason.
func acceptGates(l disk.Layer, dir, reason string, now time.Time, causes []rows.GateCause) ([]rows.Acceptance, error) {
	var added []rows.Acceptance
	text := new(bytes.Buffer)
	for _, cause := range causes {
		line := rows.Acceptance{AcceptedAt: now, Reason: reason, GateCause: cause}
		added = append(added, line)
		plain, err := json.Marshal(line)
		if err != nil {
			return nil, err
		}
		sealed, _ := disk.Seal("", plain) // a person may delete a line
		text.Write(append(sealed, '\n'))
	}
	if err := l.MakeFolder(filepath.Join(dir, "archive")); err != nil {
		return nil, err
	}
	former, err := os.ReadFile(acceptedPath(dir))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return added, l.WriteAtomic(acceptedPath(dir), disk.WriteAll(append(former, text.Bytes()...)))
}

// readAccepted reads archive/accepted.jsonl; an absent one is empty.
func readAccepted(dir string) ([]rows.Acceptance, error) {
	text, err := os.ReadFile(acceptedPath(dir))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var all []rows.Acceptance
	for i, line := range bytes.Split(bytes.TrimSuffix(text, []byte{'\n'}), []byte{'\n'}) {
		var one rows.Acceptance
		if err := disk.ReadSealed(line, &one); err != nil {
			return nil, fmt.Errorf("%s:%d: %w; mend or delete the line", acceptedPath(dir), i+1, err)
		}
		all = append(all, one)
	}
	return all, nil
}

// fillAcceptedGates gives the pages what was accepted.
func fillAcceptedGates(ctx context.Context, l *ledger.Ledger, accepted []rows.Acceptance) error {
	return l.InTx(ctx, func() error {
		if err := ledger.MakeTables(ctx, l, "accepted_gates"); err != nil {
			return err
		}
		return ledger.AppendTable(ctx, l, "accepted_gates", accepted)
	})
}
