package delivery

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ownedRow is a row without anything that the next row overwrites.
type ownedRow struct {
	line       int64
	cells, raw string
	fault      *Fault
}

func owned(row Row) ownedRow {
	return ownedRow{row.Line, strings.Join(row.Cells, "|"), string(row.Raw), row.Fault}
}

// keptRows keeps rows until, where it is not 0, there are enough.
type keptRows struct {
	rows    []ownedRow
	enough  int
	isWhole bool
}

var errEnough = errors.New("enough")

func (k *keptRows) Keep(row Row) error {
	if k.enough > 0 && len(k.rows) == k.enough {
		return errEnough
	}
	k.rows = append(k.rows, owned(row))
	return nil
}

func (k *keptRows) End() { k.isWhole = true }

// Reading ahead gives the rows, faults and errors of reading, in their order, over many batches, and keeps them; and leaves the digest to
// be taken.
func TestAheadGivesTheSameRows(t *testing.T) {
	var text strings.Builder
	text.WriteString("a,b\n")
	for i := range 3*aheadRows + 7 {
		switch i % 500 {
		case 3:
			text.WriteString("\"x\ny\",1\n")
		case 4:
			text.WriteString("\xff,2\n\n")
		case 5:
			text.WriteString("\"open,3\r\n")
		default:
			fmt.Fprintf(&text, "%d,%d\r\n", i, i*i)
		}
	}
	cut := zipped(t, text.String())
	root := folder(t, map[string]string{"all.csv": text.String(), "all.csv.gz": cut, "cut.csv.gz": cut[:len(cut)-9], "none.csv": "a,b\n"})
	for _, name := range []string{"all.csv", "all.csv.gz", "cut.csv.gz", "none.csv"} {
		plain, err := Open(root, name)
		require.NoError(t, err)
		reader, err := Open(root, name)
		require.NoError(t, err)
		keeper := &keptRows{}
		ahead := NewAhead(reader, keeper)
		var rows []ownedRow
		for plain.Next() {
			require.True(t, ahead.Next(), "%s: row %d", name, len(rows))
			rows = append(rows, owned(plain.Row()))
			require.Equal(t, rows[len(rows)-1], owned(ahead.Row()), name)
		}
		require.False(t, ahead.Next(), name)
		assert.Equal(t, plain.Err(), ahead.Err(), name)
		assert.Equal(t, name == "cut.csv.gz", ahead.Err() != nil, name)
		assert.Equal(t, name != "none.csv", len(rows) > 2*aheadRows, name)
		ahead.Close()
		assert.Equal(t, rows, keeper.rows, name)
		assert.Equal(t, name != "cut.csv.gz", keeper.isWhole, "%s: its end is told where all was read", name)
		want, err := plain.SHA256()
		require.NoError(t, err)
		got, err := reader.SHA256()
		require.NoError(t, err)
		assert.Equal(t, want, got, name)
		require.NoError(t, plain.Close())
		require.NoError(t, reader.Close())
	}
}

// Whoever needs no more rows may close at any row.
func TestAheadClosesEarly(t *testing.T) {
	root := folder(t, map[string]string{"long.csv": "a,b\n" + strings.Repeat("1111,222\n", 20*aheadRows)})
	for _, taken := range []int{0, 1, aheadRows, aheadRows + 1, 5 * aheadRows} {
		reader, err := Open(root, "long.csv")
		require.NoError(t, err)
		ahead := NewAhead(reader, nil)
		for range taken {
			require.True(t, ahead.Next())
		}
		ahead.Close()
		require.NoError(t, reader.Close())
	}
}

// What cannot be kept ends the reading, and is no end of the rows.
func TestAheadEndsWhereRowsAreNotKept(t *testing.T) {
	root := folder(t, map[string]string{"long.csv": "a,b\n" + strings.Repeat("1111,222\n", 9*aheadRows)})
	reader, err := Open(root, "long.csv")
	require.NoError(t, err)
	keeper := &keptRows{enough: 2*aheadRows + 5}
	ahead := NewAhead(reader, keeper)
	rows := 0
	for ahead.Next() {
		rows++
	}
	assert.ErrorIs(t, ahead.Err(), errEnough)
	assert.LessOrEqual(t, rows, 3*aheadRows)
	ahead.Close()
	assert.Len(t, keeper.rows, keeper.enough)
	assert.False(t, keeper.isWhole)
	require.NoError(t, reader.Close())
}
