package mixedmodel

import (
	"gonum.org/v1/gonum/mat"
)

// cross holds the cross products of [Z Q residual], built once. The columns of one component, the lead (the one with the most
// levels), are orthogonal to each other, so they are kept apart: a diagonal and sparse rows. The order of the columns is lead,
// the other components in their order, then the p columns of Q.
type cross struct {
	n, p     int
	blocks   []block // in the model's order
	lead     int     // index into blocks; -1 without components
	offsets  []int   // of each block in the order of the columns
	random   int     // columns of random effects in all, q
	fixed    *fixedPart
	leadSum  []float64 // sum of squares of each lead column
	leadY    []float64 // lead columns against the residual
	leadRows [][]entry // lead columns against the rest: columns counted from 0 = first column after the lead
	rest     *mat.SymDense
	restY    []float64
	restSize int // q - lead levels + p
}

type entry struct {
	column int
	value  float64
}

func newCross(blocks []block, fixed *fixedPart) *cross {
	c := &cross{n: len(fixed.residual), p: len(fixed.coefficients), blocks: blocks, lead: -1, fixed: fixed}
	c.arrange()
	c.fillRest()
	if c.lead >= 0 {
		c.fillLead()
	}
	return c
}

func (c *cross) arrange() {
	for k, one := range c.blocks {
		if c.lead < 0 || one.size > c.blocks[c.lead].size {
			c.lead = k
		}
	}
	c.offsets = make([]int, len(c.blocks))
	if c.lead >= 0 {
		c.random = c.blocks[c.lead].size
	}
	for k, one := range c.blocks {
		if k != c.lead {
			c.offsets[k] = c.random
			c.random += one.size
		}
	}
	c.restSize = c.random - c.leadSize() + c.p
}

func (c *cross) leadSize() int {
	if c.lead < 0 {
		return 0
	}
	return c.blocks[c.lead].size
}

// restRow appends the nonzero entries of row i in the columns after the lead.
func (c *cross) restRow(i int, row []entry) []entry {
	for k, one := range c.blocks {
		if k != c.lead {
			row = append(row, entry{c.offsets[k] - c.leadSize() + one.levels[i], one.values[i]})
		}
	}
	for j := range c.p {
		row = append(row, entry{c.restSize - c.p + j, c.fixed.q.At(i, j)})
	}
	return row
}

func (c *cross) fillRest() {
	sums := make([]float64, c.restSize*c.restSize)
	c.restY = make([]float64, c.restSize)
	var row []entry
	for i := range c.n {
		row = c.restRow(i, row[:0])
		for a, left := range row {
			for _, right := range row[a:] {
				low, high := min(left.column, right.column), max(left.column, right.column)
				sums[low*c.restSize+high] += left.value * right.value
			}
			c.restY[left.column] += left.value * c.fixed.residual[i]
		}
	}
	if c.restSize > 0 {
		c.rest = mat.NewSymDense(c.restSize, sums)
	}
}

// fillLead goes through the rows level by level, with one dense row as scratch.
func (c *cross) fillLead() {
	lead := c.blocks[c.lead]
	c.leadSum, c.leadY = make([]float64, lead.size), make([]float64, lead.size)
	c.leadRows = make([][]entry, lead.size)
	members := make([][]int, lead.size)
	for i, level := range lead.levels {
		members[level] = append(members[level], i)
	}
	scratch := make([]float64, c.restSize)
	var row []entry
	for level, rows := range members {
		clear(scratch)
		for _, i := range rows {
			value := lead.values[i]
			c.leadSum[level] += value * value
			c.leadY[level] += value * c.fixed.residual[i]
			row = c.restRow(i, row[:0])
			for _, one := range row {
				scratch[one.column] += value * one.value
			}
		}
		for column, value := range scratch {
			if value != 0 {
				c.leadRows[level] = append(c.leadRows[level], entry{column, value})
			}
		}
	}
}

// span is where the columns of block k begin and end.
func (c *cross) span(k int) (from, to int) { return c.offsets[k], c.offsets[k] + c.blocks[k].size }

// meanSquare is the mean over the levels of block k of the sum of squares of its column: about the rows per level.
func (c *cross) meanSquare(k int) float64 {
	sum := 0.0
	for _, value := range c.blocks[k].values {
		sum += value * value
	}
	return sum / float64(c.blocks[k].size)
}

// dense is Z'Z and Z'Q in one matrix of q + p columns, for the check that the components can be told apart.
func (c *cross) dense() *mat.SymDense {
	total := c.random + c.p
	all := mat.NewSymDense(total, nil)
	shift := c.leadSize()
	for a := range c.restSize {
		for b := a; b < c.restSize; b++ {
			all.SetSym(shift+a, shift+b, c.rest.At(a, b))
		}
	}
	for level, row := range c.leadRows {
		all.SetSym(level, level, c.leadSum[level])
		for _, one := range row {
			all.SetSym(level, shift+one.column, one.value)
		}
	}
	return all
}
