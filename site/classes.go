package site

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
)

// MaterialClass is a row of material_classes: a class of material, and whether the settings may compare it.
type MaterialClass struct {
	Class      string `db:"class"`
	IsCompared bool   `db:"compared"`
}

// classes are the district's classes of material: the two sides of the comparison, then the others in the order of their signs.
// The zero value sets acetate beside chloride, with abrasive.
type classes struct{ list []MaterialClass }

var usualClasses = classes{[]MaterialClass{{acetate, true}, {chloride, true}, {abrasive, false}}}

// classesOf puts the sides first, then those that are not compared, each by name.
func classesOf(data *Data) classes {
	sides := []string{cmp.Or(data.Compare, acetate), cmp.Or(data.Beside, chloride)}
	list := data.MaterialClasses
	if len(list) == 0 {
		list = usualClasses.list
	}
	place := func(c MaterialClass) int {
		if at := slices.Index(sides, c.Class); at >= 0 {
			return at
		} else if c.IsCompared {
			return len(sides) + 1
		}
		return len(sides)
	}
	return classes{sorted(list, func(x, y MaterialClass) int { return cmp.Or(place(x)-place(y), strings.Compare(x.Class, y.Class)) })}
}

func (c classes) all() []MaterialClass {
	if c.list == nil {
		return usualClasses.list
	}
	return c.list
}

// compareClass is the class that is compared, besideClass the one that it is held against.
func (c classes) compareClass() string { return c.all()[0].Class }
func (c classes) besideClass() string  { return c.all()[1].Class }

// sides are both.
func (c classes) sides() []string { return []string{c.compareClass(), c.besideClass()} }

// isPlain tells a class that is never compared, such as abrasive.
func (c classes) isPlain(class string) bool {
	return slices.Contains(c.all(), MaterialClass{class, false})
}

// classWords puts the names of the two sides into a fixed text of ours, which writes {acetate}, {chloride} and {salt} for them.
func (c classes) classWords(text string) string {
	if !strings.Contains(text, "{") {
		return text
	}
	compared, beside, word := c.compareClass(), c.besideClass(), rows.EverydayWord(c.besideClass())
	return strings.NewReplacer("{acetate}", compared, "{Acetate}", capital(compared), "{chloride}", beside, "{Chloride}", capital(beside),
		"{salt}", word, "{Salt}", capital(word)).Replace(text)
}

// otherSign is the sign of classes beyond those that have one of their own; plowSign that of passes without material.
const (
	otherSign = "other"
	plowSign  = "plow"
)

// signs are the signs of a district's classes, in their order, each as it stands in a box of 14 by 14. Shapes tell all of them apart; the
// stylesheet colours the first three.
var signs = []struct {
	name  string
	shape template.HTML
}{
	{acetate, `<circle class="mark acetate" cx="7" cy="7" r="5"/>`},
	{chloride, `<path class="mark chloride" d="M7 1L13 7L7 13L1 7Z"/>`},
	{abrasive, `<rect class="mark abrasive" x="2" y="2" width="10" height="10"/>`},
	{"triangle", `<path class="mark other" d="M7 1L13 12L1 12Z"/>`},
	{"wedge", `<path class="mark other" d="M1 2L13 2L7 13Z"/>`},
	{"flag", `<path class="mark other" d="M2 1L12 7L2 13Z"/>`},
	{otherSign, `<rect class="mark other" x="2" y="2" width="10" height="10"/>`},
}

// sign names the sign of a class.
func (c classes) sign(class string) string {
	at := slices.IndexFunc(c.all(), func(one MaterialClass) bool { return one.Class == class })
	switch {
	case class == "":
		return plowSign
	case at < 0 || at >= len(signs):
		return otherSign
	}
	return signs[at].name
}

// classStyle is the stylesheet's name of a class.
func (c classes) classStyle(class string) string {
	switch sign := c.sign(class); sign {
	case acetate, chloride, abrasive, plowSign:
		return sign
	}
	return otherSign
}

// classSign is a class with its sign, for the line that explains them and for the page's symbols.
type classSign struct {
	Class, Sign string
	Shape       template.HTML
}

// classSigns are the classes that have a sign of their own.
func (c classes) classSigns() []classSign {
	var list []classSign
	for i, class := range c.all()[:min(len(c.all()), len(signs)-1)] {
		list = append(list, classSign{class.Class, signs[i].name, signs[i].shape})
	}
	return list
}
