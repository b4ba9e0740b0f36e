package pipeline

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"time"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
)

// districtStatus is the answer of the status command.
type districtStatus struct {
	Now         time.Time      `json:"now"`
	Release     string         `json:"release"`
	AsOfAt      *time.Time     `json:"as_of_at"`
	Feeds       []rows.FeedEnd `json:"feeds"`
	DataAgeH    *float64       `json:"data_age_h"`
	PublishedAt *time.Time     `json:"published_at"`
	SiteAgeH    *float64       `json:"site_age_h"`
	StaleH      float64        `json:"stale_h"`
	LastRun     *RunReport     `json:"last_run"`
	Findings    []string       `json:"findings"`
}

// readStatus reads the last run's report and the live release's, and lists what a person should look at: no release, stale data, a stale
// site, a run that failed.
func readStatus(dir string, now time.Time) (*districtStatus, error) {
	settings, err := district.ReadSettings(filepath.Join(dir, "district.toml"))
	if err != nil {
		return nil, err
	}
	status := &districtStatus{Now: now, StaleH: settings.StaleH, Findings: []string{}}
	if status.LastRun, err = readRunReport(filepath.Join(dir, "log", lastRunName)); err != nil {
		return nil, err
	}
	if status.Release, err = release.LiveRelease(dir); err != nil {
		return nil, err
	}
	if status.Release == "" {
		status.find("nothing is published yet: run lanetally nightly %s", dir)
		status.judgeRun()
		return status, nil
	}
	published, err := release.ReadReleaseManifest(filepath.Join(dir, "current"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	status.judge(published)
	status.judgeRun()
	return status, nil
}

// judge compares the ages with the settings.
func (s *districtStatus) judge(published *release.ReleaseManifest) {
	if published != nil {
		s.PublishedAt, s.AsOfAt, s.Feeds = &published.BeganAt, published.AsOfAt, published.Feeds
		s.Findings = slices.Concat(s.Findings, published.Silent, published.Missing)
	}
	s.DataAgeH, s.SiteAgeH = ageH(s.Now, s.AsOfAt), ageH(s.Now, s.PublishedAt)
	switch {
	case s.AsOfAt == nil:
		s.find("no dated delivery has been accepted: see the data page")
	case *s.DataAgeH > s.StaleH:
		s.find("the data end %.1f h ago, more than stale_h = %g h: look at the deliveries into inbox/", *s.DataAgeH, s.StaleH)
	}
	if s.SiteAgeH != nil && *s.SiteAgeH > s.StaleH {
		s.find("the site is %.1f h old, more than stale_h = %g h: look at the nightly job and log/", *s.SiteAgeH, s.StaleH)
	}
}

// judgeRun tells a last run that failed, was held up or did not end.
func (s *districtStatus) judgeRun() {
	switch {
	case s.LastRun == nil && s.Release != "":
		s.find("the last run left no report in log/: look at the disk, then run lanetally nightly again")
	case s.LastRun == nil:
	case s.LastRun.Begun != nil:
		s.judgeBegun()
	case s.LastRun.Fault == "":
	case s.LastRun.IsPublished:
		s.find("the last run published and then met a fault: %s", s.LastRun.Fault)
	default:
		s.find("the last run ended with a fault, and the release before it stands: %s", s.LastRun.Fault)
	}
}

func (s *districtStatus) find(format string, args ...any) {
	s.Findings = append(s.Findings, fmt.Sprintf(format, args...))
}

// ageH is the hours from at to now, nil where at is.
func ageH(now time.Time, at *time.Time) *float64 {
	if at == nil {
		return nil
	}
	hours := now.Sub(*at).Hours()
	return &hours
}

// readRunReport reads a report; an absent one is nil.
func readRunReport(path string) (*RunReport, error) {
	report, err := disk.ReadJSON[RunReport](path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return report, err
}

// print writes the status for a terminal.
func (s *districtStatus) print(w io.Writer) error {
	text := "release    " + dashIfEmpty(s.Release) + "\n"
	text += "data until " + instantText(s.AsOfAt) + "\n"
	for _, feed := range s.Feeds {
		text += fmt.Sprintf("  %-11s %s\n", feed.Feed, instantText(&feed.UntilAt))
	}
	text += "published  " + instantText(s.PublishedAt) + "\n"
	if s.LastRun != nil {
		text += "last run   " + s.LastRun.sentence() + "\n"
	}
	for _, finding := range s.Findings {
		text += "look at    " + finding + "\n"
	}
	_, err := io.WriteString(w, text)
	return err
}

func dashIfEmpty(text string) string {
	if text == "" {
		return "-"
	}
	return text
}

func instantText(at *time.Time) string {
	if at == nil {
		return "-"
	}
	return at.Format(time.RFC3339)
}
