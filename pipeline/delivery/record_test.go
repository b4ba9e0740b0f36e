package delivery

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// told is a row as a test states it: cells joined by "|", or the fault's reason after "!".
func told(t *testing.T, from io.Reader) (header string, rows []string, lines []int64) {
	t.Helper()
	source, err := newTextRows(from)
	require.NoError(t, err)
	cells, _, fault, err := source.header()
	require.NoError(t, err)
	require.Nil(t, fault)
	for {
		row, err := source.next()
		if errors.Is(err, io.EOF) {
			return strings.Join(cells, "|"), rows, lines
		}
		require.NoError(t, err)
		text := strings.Join(row.Cells, "|")
		if row.Fault != nil {
			text = "!" + row.Fault.Reason()
		}
		rows = append(rows, text)
		lines = append(lines, row.Line)
	}
}

// Quoting as RFC 4180 section 2 has it; what it leaves open, or what breaks it, is ours.
func TestRowsOfCSV(t *testing.T) {
	long := strings.Repeat("x", MaxRecordBytes)
	for _, test := range []struct {
		name, file string
		rows       []string
		lines      []int64
	}{
		{"line ends LF", "a,b\n1,2\n3,4\n", []string{"1|2", "3|4"}, []int64{2, 3}},
		{"line ends CRLF", "a,b\r\n1,2\r\n3,4\r\n", []string{"1|2", "3|4"}, []int64{2, 3}},
		{"mixed line ends", "a,b\r\n1,2\n3,4\r\n5,6", []string{"1|2", "3|4", "5|6"}, []int64{2, 3, 4}},
		{"cut between CR and LF", "a,b\r\n1,2\r", []string{"1|2"}, []int64{2}},
		{"byte order mark", "\ufeffa,b\n1,2\n", []string{"1|2"}, []int64{2}},
		{"empty lines are no rows but count", "a,b\n\n1,2\n\r\n\n3,4\n", []string{"1|2", "3|4"}, []int64{3, 6}},
		{"empty cells", "a,b\n,\n", []string{"|"}, []int64{2}},
		{"quoted comma", "a,b\n\"1,5\",2\n", []string{"1,5|2"}, []int64{2}},
		{"doubled quote", "a,b\n\"say \"\"x\"\"\",2\n", []string{`say "x"|2`}, []int64{2}},
		{"quoted line end", "a,b\n\"1\n2\",3\n4,5\n", []string{"1\n2|3", "4|5"}, []int64{2, 4}},
		{"quoted CRLF", "a,b\r\n3,\"1\r\n2\"\r\n4,5\r\n", []string{"3|1\r\n2", "4|5"}, []int64{2, 4}},
		{"quoted last cell without line end", "a,b\n1,\"2\"", []string{"1|2"}, []int64{2}},
		{"quote inside plain text", "a,b\n6\" deep,2\n", []string{`6" deep|2`}, []int64{2}},
		{"text after a closing quote", "a,b\n\"1\"x,2\n3,4\n", []string{"!text after a closing quote", "3|4"}, []int64{2, 3}},
		{"unclosed quote, nothing after", "a,b\n1,\"2\n3,4\n5,6\n", []string{"!unclosed quote", "3|4", "5|6"}, []int64{2, 3, 4}},
		{"unclosed quote, a quote later", "a,b\n1,\"2\n3,\"x\"\n5,6\n", []string{"!unclosed quote", "3|x", "5|6"}, []int64{2, 3, 4}},
		{"quote closed with too many cells", "a,b\n1,\"2\n3,\",4\n5,6\n", []string{"!unclosed quote", "!unclosed quote", "5|6"},
			[]int64{2, 3, 4}},
		{"too many cells are the parser's", "a,b\n1,2,3\n", []string{"1|2|3"}, []int64{2}},
		{"NUL", "a,b\n1,\x00\n3,4\n", []string{"!NUL byte in the line", "3|4"}, []int64{2, 3}},
		{"Latin-1", "a,b\n1,\xe9\n3,4\n", []string{"!not UTF-8", "3|4"}, []int64{2, 3}},
		{"longest line", "a,b\n" + long + "\n3,4\n", []string{long, "3|4"}, []int64{2, 3}},
		{"longest line, CRLF", "a,b\n" + long + "\r\n3,4\n", []string{long, "3|4"}, []int64{2, 3}},
		{"line too long", "a,b\n" + long + "y\n3,4\n", []string{"!line over 64 KiB", "3|4"}, []int64{2, 3}},
		{"line far too long", "a,b\n" + strings.Repeat(long, 9) + "\n3,4\n", []string{"!line over 64 KiB", "3|4"}, []int64{2, 3}},
		{"last line too long", "a,b\n" + long + "yz", []string{"!line over 64 KiB"}, []int64{2}},
		{"quoted record too long", "a,b\n1,\"" + long + "\n\"\n3,4\n", []string{"!line over 64 KiB", "!unclosed quote", "3|4"},
			[]int64{2, 3, 4}},
		{"header only", "a,b\n", nil, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, from := range []io.Reader{strings.NewReader(test.file), oneByte{strings.NewReader(test.file)}} {
				header, rows, lines := told(t, from)
				assert.Equal(t, "a|b", header)
				assert.Equal(t, test.rows, rows)
				assert.Equal(t, test.lines, lines)
			}
		})
	}
}

// oneByte gives single bytes, so that every record straddles a read.
type oneByte struct{ from io.Reader }

func (o oneByte) Read(to []byte) (int, error) { return o.from.Read(to[:min(1, len(to))]) }

func TestAppendRecordIsSplitAgain(t *testing.T) {
	cells := []string{"", "plain", "a,b", `say "x"`, "two\nlines", " spaced "}
	raw := appendRecord(nil, cells)
	assert.Equal(t, cells, SplitRecord(raw))
	assert.Equal(t, ",plain,\"a,b\",\"say \"\"x\"\"\",\"two\nlines\", spaced ", string(raw))
}

func TestSplitRecordRefusesWhatIsNoRecord(t *testing.T) {
	for _, raw := range []string{`"a`, `"a"b`, "\"a\"\nb"} {
		assert.Nil(t, SplitRecord([]byte(raw)), raw)
	}
}

// FuzzReader puts the pieces together again: each byte of a stream belongs to exactly one record, line end, empty line, or
// dropped rest of a line too long; lines are counted; what a row's bytes say does not depend on where they stood.
func FuzzReader(f *testing.F) {
	for _, seed := range []string{"a,b\n1,2\n", "\ufeffa\r\n\"x\ny\"\r\n\n", "a,b\n\"1\n2,3\n\"\"", "\"", "a\r", "\"\"\r\r\n\"a\"b\n",
		"\x00,\xff\n"} {
		f.Add([]byte(seed), uint8(2))
	}
	f.Fuzz(func(t *testing.T, file []byte, columns uint8) {
		s, err := newSplitter(bytes.NewReader(file))
		require.NoError(t, err)
		s.columns = int(columns)
		rest := file
		if s.hasBOM {
			rest = rest[3:]
		}
		line := int64(1)
		for {
			p, err := s.next()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			require.Equal(t, line, p.Line)
			require.True(t, bytes.HasPrefix(rest, p.Raw))
			if p.Fault == nil && !p.isEmpty {
				require.Equal(t, p.Cells, SplitRecord(p.Raw))
			}
			used := len(p.Raw) + p.dropped + p.end
			line += int64(bytes.Count(rest[:used], []byte{'\n'}))
			rest = rest[used:]
		}
		require.Len(t, rest, s.cutCR)
	})
}
