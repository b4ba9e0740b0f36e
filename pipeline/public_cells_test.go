package pipeline

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strangerName is a person whom no reference table knows.
const strangerName = "Quillon Vandermere"

// soundRows are a header and a row that counts, of each feed.
var soundRows = map[string][2]string{
	"passes": {"pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lanes,material_id,dispensed_lb,plow_down,purpose,note",
		"q1,t2,c2,r2,2028-01-10 08:00,2028-01-10 09:00,1,5,1,salt,10,true,storm,none"},
	"tickets": {"ticket_id,loaded_at,truck_id,stockpile_id,material_id,loaded_lb,returned_lb",
		"w1,2028-01-10 07:00,t2,shed,salt,8000,100"},
	"stock":       {"stockpile_id,material_id,at,kind,amount_lb", "shed,salt,2028-01-10 07:00,count,90000"},
	"conditions":  {"route_id,observed_at,cover,friction", "r2,2028-01-10 08:30,slush,0.4"},
	"weather":     {"station_id,observed_at,air_f,present_wx", "st1,2028-01-10 08:30,28,-SN"},
	"breadcrumbs": {"truck_id,at,lat,lon,speed_mph,material_id,crew_id,spreading", "t2,2028-01-10 08:30,45.1,-105.1,20,salt,c2,true"},
}

// shiftedRows are the row with the name in each column in turn, in place of its cell and before it, where all cells behind it shift. A
// stockpile is known by its deliveries alone: any name in its place is one.
func shiftedRows(row string) (list []string) {
	cells := strings.Split(row, ",")
	for i := range cells {
		replaced := slices.Clone(cells)
		if replaced[i] != "shed" {
			replaced[i] = strangerName
		}
		list = append(list, strings.Join(replaced, ","),
			strings.Join(slices.Insert(slices.Clone(cells), i, strangerName)[:len(cells)], ","))
	}
	return list
}

// TestPublicSiteHoldsNoDeliveredCells: a name in any column of any feed, or as a header that nothing reads, stands in the files of the
// district alone, unless it publishes rows as delivered.
func TestPublicSiteHoldsNoDeliveredCells(t *testing.T) {
	dir := copyTiny(t)
	for feed, sound := range soundRows {
		header, rows := sound[0], shiftedRows(sound[1])
		addFile(t, dir, feed+"/shifted.csv", header+"\n"+strings.Join(rows, "\n")+"\n")
		addFile(t, dir, feed+"/header.csv", header+","+strangerName+"\n"+sound[1]+",x\n")
		addFile(t, dir, feed+"/twice.csv", header+","+strangerName+","+strangerName+"\n"+sound[1]+",x,x\n")
	}
	addFile(t, dir, "weather/reports.metar", "METAR KXYZ 160651Z 27010KT 2SM "+strangerName+" M02/M04 A2990\n"+strangerName+"\n")
	mustNight(t, dir, faultNow)
	full, err := os.ReadFile(filepath.Join(dir, "current", "data", "quarantine.csv"))
	require.NoError(t, err)
	assert.Greater(t, strings.Count(string(full), strangerName), 60)
	assertNoStranger(t, dir)

	addText(t, filepath.Join(dir, "district.toml"), "\n[feeds.conditions.columns]\nfriction = { from = \"grip\" }\n")
	_, err = tryNight(t, dir, 1, "the mapping")
	require.NoError(t, err)
	assertNoStranger(t, dir)

	addText(t, filepath.Join(dir, "district.toml"), "\n[publish]\nraw_lines = true\n")
	mustNight(t, dir, faultNow.AddDate(0, 0, 2))
	assert.Contains(t, readPublic(t, filepath.Join(dir, "current", "public"))["data.html"], strangerName)
}

// assertNoStranger looks for the name in everything that is published, Parquet read back.
func assertNoStranger(t *testing.T, dir string) {
	t.Helper()
	files := readPublic(t, filepath.Join(dir, "current", "public"))
	assert.Greater(t, len(files), 60)
	for name, text := range files {
		text = strings.ToLower(text)
		for _, part := range []string{"quillon", "vandermere"} {
			if at := strings.Index(text, part); at >= 0 {
				t.Errorf("%s: ...%s...", name, text[max(0, at-80):min(len(text), at+60)])
			}
		}
	}
}
