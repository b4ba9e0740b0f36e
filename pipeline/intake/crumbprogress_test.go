package intake

import (
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// By hand: 1,000 points in 4 s are 250 a second; the 9,000 that are left take 36 s. Of two files of 3,000 and 1,000 bytes 500 are read
// after 2 s: 14 s for the other 3,500; the first read to its end, and what it unpacks to, after 6 s: 2 s for the last 1,000.
func TestProgressOfPositions(t *testing.T) {
	began := time.Date(2030, 1, 16, 4, 30, 0, 0, time.UTC)
	now := began
	p := &CrumbProgress{Terminal: io.Discard, Clock: func() time.Time { return now }, Word: "read", Began: began}
	sizes := map[string]int64{"a.csv": 3000, "b.csv": 1000}
	assert.Equal(t, []int64{3000, 1000}, p.expect([]InboxFile{{Path: "a.csv"}, {Path: "b.csv"}},
		func(file InboxFile) int64 { return sizes[file.Path] }))
	p.file(3000)
	p.read(10, 500)
	assert.Equal(t, "10 points read, 5 a second, 14s left", p.line(began.Add(2*time.Second)))
	p.read(50, 9000)
	assert.Equal(t, "60 points read, 10 a second, 2s left", p.line(began.Add(6*time.Second)))
	p.file(1000)
	assert.Equal(t, "60 points read, 10 a second, 2s left", p.line(began.Add(6*time.Second)))
	p.read(20, 1000)
	assert.Equal(t, "80 points read, 10 a second", p.line(began.Add(8*time.Second)))
	now = began.Add(10 * time.Second)
	p.begin(10_000)
	p.matched(1000)
	assert.Equal(t, "1000 points matched, 250 a second, 36s left", p.line(now.Add(4*time.Second)))
	p.of = 0
	assert.Equal(t, "1000 points matched, 250 a second", p.line(now.Add(4*time.Second)))
	assert.Equal(t, "1000 points matched", p.line(now))
}
