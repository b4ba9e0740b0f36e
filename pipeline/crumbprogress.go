package pipeline

import (
	"fmt"
	"io"
	"time"
)

// crumbProgress shows a long load of positions on a terminal: points, points a second, time left. Nil shows nothing.
type crumbProgress struct {
	terminal io.Writer
	clock    func() time.Time
	word     string
	points   int64
	done, of int64 // of the work: bytes of the files to read, then points to match; of 0: not known
	fileEnd  int64 // bytes up to the end of the file that is read
	began    time.Time
	shown    time.Time
}

// crumbProgress is that of a night whose words go to a terminal.
func (n *night) crumbProgress() *crumbProgress {
	terminal := progressOn(n.Words).terminal
	if terminal == io.Discard || n.Clock == nil {
		return nil
	}
	return &crumbProgress{terminal: terminal, clock: n.Clock, word: "read", began: n.Clock()}
}

// expect starts the reading of files and gives their bytes, which nobody looks up where nothing is shown.
func (p *crumbProgress) expect(files []inboxFile, sizeOf func(inboxFile) int64) []int64 {
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
func (p *crumbProgress) file(bytes int64) {
	if p != nil {
		p.done = p.fileEnd
		p.fileEnd += bytes
	}
}

// read counts positions that were read, and their bytes, of which a packed file has fewer.
func (p *crumbProgress) read(points, bytes int) {
	if p != nil {
		p.count(points, min(p.done+int64(bytes), p.fileEnd))
	}
}

// begin starts the matching of so many positions that came; traces that they touch add to them.
func (p *crumbProgress) begin(points int64) {
	if p != nil {
		p.word, p.points, p.done, p.of, p.began = "matched", 0, 0, points, p.clock()
	}
}

// matched counts positions that were matched.
func (p *crumbProgress) matched(points int) {
	if p != nil {
		p.count(points, p.done+int64(points))
	}
}

func (p *crumbProgress) count(points int, done int64) {
	p.points += int64(points)
	p.done = done
	now := p.clock()
	if now.Sub(p.shown) < 200*time.Millisecond {
		return
	}
	p.shown = now
	_, _ = fmt.Fprintf(p.terminal, "\r\x1b[K%s", p.line(now))
}

// line is what the terminal shows.
func (p *crumbProgress) line(now time.Time) string {
	seconds := now.Sub(p.began).Seconds()
	if seconds <= 0 {
		return fmt.Sprintf("%d points %s", p.points, p.word)
	}
	text := fmt.Sprintf("%d points %s, %.0f a second", p.points, p.word, float64(p.points)/seconds)
	if p.of > p.done && p.done > 0 {
		text += fmt.Sprintf(", %s left", time.Duration(float64(p.of-p.done)/float64(p.done)*seconds*1e9).Round(time.Second))
	}
	return text
}
