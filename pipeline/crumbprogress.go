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
	of       int64 // 0: not known
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

// read counts positions that were read.
func (p *crumbProgress) read(points int) { p.count(points) }

// begin starts the matching of so many positions that came; traces that they touch add to them.
func (p *crumbProgress) begin(points int64) {
	if p != nil {
		p.word, p.points, p.of, p.began = "matched", 0, points, p.clock()
	}
}

// matched counts positions that were matched.
func (p *crumbProgress) matched(points int) { p.count(points) }

func (p *crumbProgress) count(points int) {
	if p == nil {
		return
	}
	p.points += int64(points)
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
	rate := float64(p.points) / seconds
	text := fmt.Sprintf("%d points %s, %.0f a second", p.points, p.word, rate)
	if p.of > p.points && rate > 0 {
		text += fmt.Sprintf(", %s left", time.Duration(float64(p.of-p.points)/rate*1e9).Round(time.Second))
	}
	return text
}
