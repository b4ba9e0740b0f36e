package crumbs

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"lanetally/pipeline/trace"
)

// Names gives texts numbers from 1; 0 is the empty text. Several goroutines may use it.
type Names struct {
	mutex   sync.RWMutex
	texts   []string
	numbers map[string]int32
}

// NewNames knows the empty text only.
func NewNames() *Names {
	return &Names{texts: []string{""}, numbers: map[string]int32{"": 0}}
}

// Number is the number of a text, a new one for a new text.
func (n *Names) Number(text string) int32 {
	n.mutex.Lock()
	defer n.mutex.Unlock()
	if number, known := n.numbers[text]; known {
		return number
	}
	number := int32(len(n.texts))
	n.texts = append(n.texts, text)
	n.numbers[text] = number
	return number
}

// Text is the text of a number.
func (n *Names) Text(number int32) string {
	n.mutex.RLock()
	defer n.mutex.RUnlock()
	return n.texts[number]
}

// Row is a position as delivered: Truck and Content (the SHA-256 of its file), and the point's material and crew, are numbers of Names.
type Row struct {
	Point   trace.Point
	Truck   int32
	Content int32
	Line    int64
}

// Day is a UTC day, counted from 1 January 1970.
type Day int32

const dayMS = 24 * 3600 * 1000

// DayOf is the day of a time in Unix milliseconds.
func DayOf(ms int64) Day {
	day := ms / dayMS
	if ms < day*dayMS {
		day--
	}
	return Day(day)
}

// path is the file of a day. The season runs from 1 July to 30 June, by the same day.
func (d Day) path() string {
	day := time.Unix(int64(d)*24*3600, 0).UTC()
	year := day.Year()
	if day.Month() < time.July {
		year--
	}
	return fmt.Sprintf("season=%04d-%02d/month=%s/%s.parquet", year, (year+1)%100, day.Format("2006-01"), day.Format("2006-01-02"))
}

// dayOfPath is the inverse of path.
func dayOfPath(path string) (Day, bool) {
	at, err := time.Parse("2006-01-02", strings.TrimSuffix(filepath.Base(path), ".parquet"))
	return DayOf(at.UnixMilli()), err == nil
}
