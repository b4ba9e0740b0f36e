package district

import (
	"fmt"
	"strconv"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/localtime"
)

// DefaultDistrictTOML is the district.toml of a new district: every key with its default and meaning.
func DefaultDistrictTOML(name string) string {
	settings := DefaultSettings()
	settings.Name = name
	settings.TimeZone = "UTC"
	b := &strings.Builder{}
	b.WriteString("# Settings of one district. Every key stands here with its default; a line that begins with # is a remark.\n")
	for _, group := range settingGroups {
		fmt.Fprintf(b, "\n# %s\n", group.Heading)
		for _, key := range group.Keys {
			fmt.Fprintf(b, "# %s\n%s = %s\n", key.explain(), key.Name, settingText(key.Place(settings)))
		}
	}
	b.WriteString(`
[publish]
# "own": each crew's page has an address of its own, which only crew_addresses.toml names; no other page and no file names a crew.
# "all": crews are listed, named and linked everywhere. "none": no crew's figures anywhere
crew_pages = "own"
# whether pages that name a crew show its label beside its crew_id
crew_labels = false
# whether rows set aside are published as they were delivered; they can hold names
raw_lines = false
# pounds that the pages lead with: "reported" by the spreaders, or "corrected" by weighed loads; exports keep the reported ones
lead_with = "reported"
# units of the pages: "us", or "metric" (kg per lane-km, °C, km/h, cm); files and settings keep their US units
units = "us"

# What a season may spend, by class of material; none need stand here. A season runs from 1 July to 30 June.
# [budget."2028-29"]
# acetate_usd = 250000
# chloride_usd = 400000
# abrasive_usd = 20000

# Costs of damage, one table each, with your own source; the pages show them apart, as assumptions.
# [[damage_costs]]
# name = "Corrosion of bridges"
# usd_per_ton = 0
# material_class = "chloride"
# source = "who says so, where and when"

[notify]
# program and arguments that a failed night runs, with its summary on standard input; no shell reads it
command = []

# Feeds whose export has other headers than ours, one pair of tables a feed. A column is a header, or a table of
# from (the header) or value (one text for every row), unit (of the delivered numbers) and values (cell by cell).
# Units: `)
	b.WriteString(strings.Join(contract.UnitNames(), ", ") + ".\n# A time_format is made of")
	for _, part := range localtime.Parts {
		fmt.Fprintf(b, "\n#   %-4s %s", part[0], part[1])
	}
	b.WriteString(`
# and [ ] around a piece that may be missing; where it is given, every time of the feed has that form.
# [feeds.passes]
# time_format = "MM/DD/YYYY hh:mm[:ss]"
# [feeds.passes.columns]
# began_at = "Start Time"
# material_id = { value = "nacl" }
# dispensed_lb = { from = "Kg out", unit = "kg" }
# purpose = { from = "Reason", values = { "PRE" = "pretreat", "-" = "" } }
# [feeds.weather.columns]
# present_wx = { from = "Situation", values = { "snowSlight" = "-SN", "noPrecipitation" = "" } }
# Of several sensors the lowest number that is reported counts:
# surface_f = { from = ["Surf 1", "Surf 2"], unit = "C" }
`)
	return b.String()
}

// explain gives the meaning of a key and, for a number, its bounds.
func (k settingKey) explain() string {
	if k.High == k.Low {
		return k.Meaning
	}
	return fmt.Sprintf("%s (%s to %s)", k.Meaning, contract.PlainNumber(k.Low), contract.PlainNumber(k.High))
}

// settingText writes the value of a setting as TOML.
func settingText(place any) string {
	switch p := place.(type) {
	case *string:
		return tomlText(*p)
	case *int:
		return strconv.Itoa(*p)
	case *float64:
		return contract.PlainNumber(*p)
	}
	return ""
}

// tomlText writes a basic TOML string.
func tomlText(text string) string {
	b := &strings.Builder{}
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
