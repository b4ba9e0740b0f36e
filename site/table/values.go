package table

import (
	"cmp"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"time"
	"unicode"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// writer writes rows on a page.
type writer struct {
	*book.Book
	root string // leads from the page to the top folder
}

// value is what a row holds under a name: names of things with a page lead there.
func (w writer) value(row any, name string) any {
	text := func(name string) string { return field(row, name).(string) }
	switch name {
	case "storm_id":
		return Link(cmp.Or(text(name), "outside storms"), w.StormHref(w.root, text(name)))
	case "route_id":
		return Link(w.RouteShort(text(name)), w.RouteHref(w.root, text(name)))
	case "zone_id":
		return w.ZoneName(text(name))
	case "material_class":
		return Cell{Text: text(name), Class: text(name)}
	case "material":
		return MaterialCell(text("material_class"), text("form"))
	case "bare_after":
		road := row.(rows.StormRoute)
		return Shown{format.Regain(road), road.RegainH}
	case "road_state":
		road := row.(rows.Tally)
		return Shown{roadState(road), road.RegainH}
	}
	return field(row, name)
}

// roadState is the hours to bare lane, with the number of routes that were not bare within the cap.
func roadState(t rows.Tally) string {
	if t.NotBare == 0 {
		return format.Hours(t.RegainH)
	}
	return format.Hours(t.RegainH) + " (" + format.Whole(t.NotBare) + format.NoBreak + "not" + format.NoBreak + "bare)"
}

// MaterialCell names class and form; a row without a class is a route that was only plowed.
func MaterialCell(class, form string) Cell {
	if class == "" {
		return Cell{Text: "plowed only"}
	}
	return Cell{Text: class + ", " + form, Class: class}
}

// ways has how to read a name off a type: a func(reflect.Value) any by a way.
var ways sync.Map

type way struct {
	of   reflect.Type
	name string
}

// field reads off a row the field of a column, or the method without arguments, of that name. It panics where there is none: the names are
// part of the program. A row that is nil is an empty one.
func field(row any, name string) any {
	v := reflect.ValueOf(row)
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v = reflect.New(v.Type().Elem())
		}
		v = v.Elem()
	}
	read, isKnown := ways.Load(way{v.Type(), name})
	if !isKnown {
		read, _ = ways.LoadOrStore(way{v.Type(), name}, wayTo(v.Type(), name))
	}
	return read.(func(reflect.Value) any)(v)
}

func wayTo(t reflect.Type, name string) func(reflect.Value) any {
	for _, f := range reflect.VisibleFields(t) {
		if f.IsExported() && (f.Tag.Get("db") == name || snake(f.Name) == name) {
			return func(v reflect.Value) any { return v.FieldByIndex(f.Index).Interface() }
		}
	}
	for i := range t.NumMethod() {
		if m := t.Method(i); snake(m.Name) == name && m.Type.NumIn() == 1 {
			return func(v reflect.Value) any { return v.Method(i).Call(nil)[0].Interface() }
		}
	}
	panic(fmt.Sprintf("catalogue: %s has no %q", t, name))
}

// snake writes the name of a field as columns are named: NotBareShare is not_bare_share.
func snake(name string) string {
	var b strings.Builder
	letters := []rune(name)
	for i, r := range letters {
		isAfterSmall := i > 0 && !unicode.IsUpper(letters[i-1])
		if unicode.IsUpper(r) && i > 0 && (isAfterSmall || i+1 < len(letters) && unicode.IsLower(letters[i+1])) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// compare orders two values, a missing one first.
func compare(x, y any) int {
	switch x := x.(type) {
	case string:
		return cmp.Compare(x, y.(string))
	case time.Time:
		return x.Compare(y.(time.Time))
	}
	return book.CompareOptional(words.Number(x), words.Number(y))
}

// StormCell leads to a storm's page.
func StormCell(b *book.Book, root, stormID string, isOpen bool) Cell {
	cell := Link(stormID, b.StormHref(root, stormID))
	if isOpen {
		cell.Text += ", open"
	}
	return cell
}
