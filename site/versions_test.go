package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/pages"
	"lanetally/site/words"
)

func TestVersionsListWhatChanged(t *testing.T) {
	rows, err := book.ReadVersions(book.VersionsText)
	require.NoError(t, err)
	assert.Equal(t, "No definition has changed since version 2.0; the first number of a version goes up with each that does.",
		words.VersionsSentence(us, rows[:4]))
	later, err := book.ReadVersions([]byte("version,definition,season,class,a,b,c,d\n2.0,,2027-28,acetate,,269.50,,3.70\n3.0,Bare lane " +
		"after,2027-28,acetate,269.50,270.06,3.70,\n"))
	require.NoError(t, err)
	assert.Equal(t, "1 definition changed since version 2.0; the first number of a version goes up with each that does.",
		words.VersionsSentence(us, later))
	// 270.06 lb per lane-mile x 0.45359237 kg / 1.609344 km = 76.12 kg per lane-km (269.50: 75.96), to a tenth, as hours.
	shown := func(u format.Units, row int) (texts []string) {
		for _, cell := range pages.VersionsSection(&book.Book{Units: u, Data: &book.Data{}}, later).Tables[0].Rows[row].Cells {
			texts = append(texts, cell.Text)
		}
		return texts
	}
	assert.Equal(t, []string{"3.0", "Bare lane after", "2027-28", "acetate", "76.0", "76.1", "3.7", format.Missing},
		shown(format.Units{IsMetric: true}, 1))
	assert.Equal(t, []string{"2.0", "none; the list begins here", "2027-28", "acetate", format.Missing, "270", format.Missing, "3.7"},
		shown(format.Units{}, 0))
	_, err = book.ReadVersions([]byte("version,definition,season,class,a,b,c,d\n2.0,,2027-28,acetate,,many,,\n"))
	assert.ErrorContains(t, err, "many")
}
