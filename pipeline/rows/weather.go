package rows

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// WeatherDoubt is a row of weather_doubts: one doubt about a station's reports from one instant to another.
type WeatherDoubt struct {
	Finding
	StationID string    `db:"station_id"`
	From      time.Time `db:"from"`
	To        time.Time `db:"to"`
}

// WeatherFinding is a row of weather_findings: the sentences of all doubts of one kind about the same reports.
type WeatherFinding struct {
	StationID string    `db:"station_id"`
	From      time.Time `db:"from" is:"instant"`
	To        time.Time `db:"to" is:"instant"`
	Kind      string    `db:"kind"`
	Text      string    `db:"text"`
}

// WeatherFindings writes doubts as findings, by station, from, to and kind; sentences of one finding stand once each, in order, with "; "
// between.
func WeatherFindings(doubts []WeatherDoubt, w Writer) []WeatherFinding {
	list := make([]WeatherFinding, len(doubts))
	for i, d := range doubts {
		list[i] = WeatherFinding{d.StationID, d.From, d.To, d.Kind(), d.Sentence(w)}
	}
	slices.SortFunc(list, func(x, y WeatherFinding) int { return cmp.Or(x.compare(y), strings.Compare(x.Text, y.Text)) })
	var found []WeatherFinding
	said := ""
	for _, f := range list {
		last := len(found) - 1
		switch {
		case last < 0 || found[last].compare(f) != 0:
			found = append(found, f)
		case said != f.Text:
			found[last].Text += "; " + f.Text
		}
		said = f.Text
	}
	return found
}

func (f WeatherFinding) compare(other WeatherFinding) int {
	return cmp.Or(strings.Compare(f.StationID, other.StationID), f.From.Compare(other.From), f.To.Compare(other.To),
		strings.Compare(f.Kind, other.Kind))
}
