package format

import (
	"html/template"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
)

// Classes are the district's classes of material: the two sides of the comparison, then the others in the order of their signs.
// The zero value sets acetate beside chloride, with abrasive.
type Classes struct{ List []rows.MaterialClass }

var UsualClasses = Classes{[]rows.MaterialClass{{Class: rows.Acetate, IsCompared: true}, {Class: rows.Chloride, IsCompared: true},
	{Class: rows.Abrasive, IsCompared: false}}}

func (c Classes) all() []rows.MaterialClass {
	if c.List == nil {
		return UsualClasses.List
	}
	return c.List
}

// CompareClass is the class that is compared.
func (c Classes) CompareClass() string { return c.all()[0].Class }

// BesideClass is the class that the compared one is held against.
func (c Classes) BesideClass() string { return c.all()[1].Class }

// Sides are both.
func (c Classes) Sides() []string { return []string{c.CompareClass(), c.BesideClass()} }

// IsPlain tells a class that is never compared, such as abrasive.
func (c Classes) IsPlain(class string) bool {
	return slices.Contains(c.all(), rows.MaterialClass{Class: class, IsCompared: false})
}

// ClassWords puts the names of the two sides into a fixed text of ours, which writes {acetate}, {chloride} and {salt} for them.
func (c Classes) ClassWords(text string) string {
	if !strings.Contains(text, "{") {
		return text
	}
	compared, beside, word := c.CompareClass(), c.BesideClass(), rows.EverydayWord(c.BesideClass())
	return strings.NewReplacer("{acetate}", compared, "{Acetate}", Capital(compared), "{chloride}", beside, "{Chloride}", Capital(beside),
		"{salt}", word, "{Salt}", Capital(word)).Replace(text)
}

// OtherSign is the sign of classes beyond those that have one of their own; PlowSign that of passes without material.
const (
	OtherSign = "other"
	PlowSign  = "plow"
)

// signs are the signs of a district's classes, in their order, each as it stands in a box of 14 by 14. Shapes tell all of them apart; the
// stylesheet colours the first three.
var signs = []struct {
	name  string
	shape template.HTML
}{
	{rows.Acetate, `<circle class="mark acetate" cx="7" cy="7" r="5"/>`},
	{rows.Chloride, `<path class="mark chloride" d="M7 1L13 7L7 13L1 7Z"/>`},
	{rows.Abrasive, `<rect class="mark abrasive" x="2" y="2" width="10" height="10"/>`},
	{"triangle", `<path class="mark other" d="M7 1L13 12L1 12Z"/>`},
	{"wedge", `<path class="mark other" d="M1 2L13 2L7 13Z"/>`},
	{"flag", `<path class="mark other" d="M2 1L12 7L2 13Z"/>`},
	{OtherSign, `<rect class="mark other" x="2" y="2" width="10" height="10"/>`},
}

// Sign names the sign of a class.
func (c Classes) Sign(class string) string {
	at := slices.IndexFunc(c.all(), func(one rows.MaterialClass) bool { return one.Class == class })
	switch {
	case class == "":
		return PlowSign
	case at < 0 || at >= len(signs):
		return OtherSign
	}
	return signs[at].name
}

// ClassStyle is the stylesheet's name of a class.
func (c Classes) ClassStyle(class string) string {
	switch sign := c.Sign(class); sign {
	case rows.Acetate, rows.Chloride, rows.Abrasive, PlowSign:
		return sign
	}
	return OtherSign
}

// ClassSign is a class with its sign, for the line that explains them and for the page's symbols.
type ClassSign struct {
	Class, Sign string
	Shape       template.HTML
}

// ClassSigns are the classes that have a sign of their own.
func (c Classes) ClassSigns() []ClassSign {
	var list []ClassSign
	for i, class := range c.all()[:min(len(c.all()), len(signs)-1)] {
		list = append(list, ClassSign{class.Class, signs[i].name, signs[i].shape})
	}
	return list
}
