package intake

import (
	"fmt"
	"io"
	"time"
)

// CrumbProgress shows a long load of positions on a terminal: points, points a second, time left. Nil shows nothing.
type CrumbProgress struct {
	Terminal io.Writer
	Clock    func() time.Time
	Word     string
	points   int64
	done, of int64 // of the work: bytes of the files to read, then points to match; of 0: not known
	fileEnd  int64 // bytes up to the end of the file that is read
	Began    time.Time
	shown    time.Time
}

// expect starts the reading of files and gives their bytes, which nobody looks up where nothing is shown.
func (p *CrumbProgress) expect(files []InboxFile, sizeOf func(InboxFile) int64) []int64 {
	sizes := make([]int64, len(files))
	if p != nil {
		for i, file := range files {
			sizes[i] = sizeOf(file)
			p.of += sizes[i]
		}
	}
	return sizes
}

// file starts the next file; what was left of the one before was read earlier.
func (p *CrumbProgress) file(bytes int64) {
	if p != nil {
		p.done = p.fileEnd
		p.fileEnd += bytes
	}
}

// read counts positions that were read, and their bytes, of which a packed file has fewer.
func (p *CrumbProgress) read(points, bytes int) {
	if p != nil {
		p.count(points, min(p.done+int64(bytes), p.fileEnd))
	}
}

// begin starts the matching of so many positions that came; traces that they touch add to them.
func (p *CrumbProgress) begin(points int64) {
	if p != nil {
		p.Word, p.points, p.done, p.of, p.Began = "matched", 0, 0, points, p.Clock()
	}
}

// matched counts positions that were matched.
func (p *CrumbProgress) matched(points int) {
	if p != nil {
		p.count(points, p.done+int64(points))
	}
}

func (p *CrumbProgress) count(points int, done int64) {
	p.points += int64(points)
	p.done = done
	now := p.Clock()
	if now.Sub(p.shown) < 200*time.Millisecond {
		return
	}
	p.shown = now
	_, _ = fmt.Fprintf(p.Terminal, "\r\x1b[K%s", p.line(now))
}

// line is what the terminal shows.
func (p *CrumbProgress) line(now time.Time) string {
	seconds := now.Sub(p.Began).Seconds()
	if seconds <= 0 {
		return fmt.Sprintf("%d points %s", p.points, p.Word)
	}
	text := fmt.Sprintf("%d points %s, %.0f a second", p.points, p.Word, float64(p.points)/seconds)
	if p.of > p.done && p.done > 0 {
		text += fmt.Sprintf(", %s left", time.Duration(float64(p.of-p.done)/float64(p.done)*seconds*1e9).Round(time.Second))
	}
	return text
}
