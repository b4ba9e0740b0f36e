package rows

import (
	"regexp"
	"slices"
	"strconv"
	"time"
)

// Finding is what a query found: a code of the table of findings, and what the places in its words hold. Amounts come with their units;
// instants are
// UTC; what a code has no place for is nil or "".
type Finding struct {
	Code        string     `db:"finding_code" json:"code"`
	Amount      *float64   `db:"amount" json:"amount,omitempty"`
	Unit        Unit       `db:"unit" json:"unit,omitempty"`
	Other       *float64   `db:"other_amount" json:"other_amount,omitempty"`
	OtherUnit   Unit       `db:"other_unit" json:"other_unit,omitempty"`
	Third       *float64   `db:"third_amount" json:"third_amount,omitempty"` // in Unit
	SharePct    *float64   `db:"share_pct" json:"share_pct,omitempty"`
	Name        string     `db:"name" json:"name,omitempty"`
	OtherName   string     `db:"other_name" json:"other_name,omitempty"`
	FromAt      *time.Time `db:"from_at" json:"from_at,omitempty"`
	ToAt        *time.Time `db:"to_at" json:"to_at,omitempty"`
	OtherFromAt *time.Time `db:"other_from_at" json:"other_from_at,omitempty"`
	OtherToAt   *time.Time `db:"other_to_at" json:"other_to_at,omitempty"`
}

// Writer says how amounts, units and instants are written.
type Writer interface {
	// Figure writes an amount that is given in US units, with so many decimals, or where they are below 0 with as many as it needs.
	Figure(amount float64, unit Unit, decimals int) string
	// UnitWord is the word behind a figure.
	UnitWord(unit Unit) string
	// Local is the instant in the district's time zone.
	Local(at time.Time) time.Time
}

// US writes US units, plain figures and UTC, as exports and the command line do.
type US struct{}

// Figure writes the amount with so many decimals.
func (US) Figure(amount float64, _ Unit, decimals int) string {
	return strconv.FormatFloat(amount, 'f', decimals, 64)
}

// UnitWord is the unit's short US word, or its name where it has none.
func (US) UnitWord(unit Unit) string {
	if word, found := usWords[unit]; found {
		return word
	}
	return string(unit)
}

// Local leaves the instant in UTC.
func (US) Local(at time.Time) time.Time { return at.UTC() }

// Kind is the word for findings of the code's kind, "" for a code that the table does not hold.
func (f Finding) Kind() string { return words[f.Code].kind }

// KindPlace is where a kind stands in the table, the most urgent first; a kind that it does not hold comes last.
func KindPlace(kind string) int {
	if at := slices.IndexFunc(table, func(w wording) bool { return w.kind == kind }); at >= 0 {
		return at
	}
	return len(table)
}

// place is a place in the words of a code: {amount}, {amount:1} with decimals, {from:date} in a form of time, {word:pounds} a unit's word,
// {other|row|rows} one word for 1 and another for all else, {reason:name} the reason of the code that is the name.
var place = regexp.MustCompile(`\{(\w+)(?::([\w-]+)|\|([^|{}]*)\|([^|{}]*))?\}`)

// missingPlace stands where a query left out what the words have a place for.
const missingPlace = "–"

// Sentence puts amounts, names and instants into the words of the finding's code.
func (f Finding) Sentence(w Writer) string {
	return place.ReplaceAllStringFunc(words[f.Code].text, func(found string) string {
		parts := place.FindStringSubmatch(found)
		if text := f.fill(parts[1], parts[2], parts[3], parts[4], w); text != "" {
			return text
		}
		return missingPlace
	})
}

// WithoutCrews is the finding without the crews that its words name.
func (f Finding) WithoutCrews() Finding {
	for _, at := range place.FindAllString(words[f.Code].text, -1) {
		switch at {
		case "{name:crew}":
			f.Name = ""
		case "{other_name:crew}":
			f.OtherName = ""
		}
	}
	return f
}

// fill is what stands in a place: of a form, or one of two words; "" where the finding lacks it.
func (f Finding) fill(name, form, one, many string, w Writer) string {
	switch name {
	case "amount":
		return figure(w, f.Amount, f.Unit, form, one, many)
	case "other":
		return figure(w, f.Other, f.OtherUnit, form, one, many)
	case "third":
		return figure(w, f.Third, f.Unit, form, one, many)
	case "share":
		return figure(w, f.SharePct, Percent, form, one, many)
	case "unit":
		return w.UnitWord(f.Unit)
	case "other_unit":
		return w.UnitWord(f.OtherUnit)
	case "word":
		return w.UnitWord(Unit(form))
	case "reason":
		return Fault{Code: f.Name}.Reason()
	case "name":
		return f.Name
	case "other_name":
		return f.OtherName
	case "from":
		return instant(w, f.FromAt, form)
	case "to":
		return instant(w, f.ToAt, form)
	case "other_from":
		return instant(w, f.OtherFromAt, form)
	case "other_to":
		return instant(w, f.OtherToAt, form)
	}
	return ""
}

func figure(w Writer, amount *float64, unit Unit, form, one, many string) string {
	switch {
	case amount == nil:
		return ""
	case one == "" && many == "":
		decimals, err := strconv.Atoi(form)
		if err != nil {
			decimals = -1
		}
		return w.Figure(*amount, unit, decimals)
	case *amount == 1:
		return one
	}
	return many
}

// instant writes a time of day or a date in the district's time zone, or a minute or a moment in UTC.
func instant(w Writer, at *time.Time, form string) string {
	if at == nil {
		return ""
	}
	switch form {
	case "clock":
		return w.Local(*at).Format("15:04")
	case "date":
		return w.Local(*at).Format(time.DateOnly)
	case "minute":
		return at.UTC().Format("2006-01-02 15:04")
	}
	return at.UTC().Format("2006-01-02T15:04Z")
}
