package district

import (
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/contract"
)

// materialClass is a row of material_classes.csv: a class of material, and whether it may be a side of the comparison.
type materialClass struct {
	Name       string
	IsCompared bool
}

const (
	materialClassesName = "material_classes"
	notAClass           = "%q is not a class; write one of %s"
)

// usualClasses are those of a district whose material_classes.csv is absent or has no rows.
var usualClasses = []materialClass{{"acetate", true}, {"chloride", true}, {"abrasive", false}}

// addUsualClasses fills the table of classes; the rows stand on no line.
func (t *ReferenceTable) addUsualClasses() {
	for _, class := range usualClasses {
		t.Rows = append(t.Rows, []contract.Value{{Text: class.Name}, {Bool: class.IsCompared}})
		t.Lines = append(t.Lines, 0)
	}
}

// readMaterialClasses reads the classes of the district folder dir for its settings; nil where their table is at fault, which
// ReadReference tells.
func readMaterialClasses(dir string) ([]materialClass, error) {
	r := &referenceReader{dir: dir, settings: &Settings{Location: time.UTC}, broken: map[string]bool{}}
	table, err := r.readNamed(materialClassesName)
	if err != nil || r.broken[materialClassesName] {
		return nil, err
	}
	var classes []materialClass
	for row := range table.Rows {
		classes = append(classes, materialClass{table.Cell(row, "class").Text, table.Cell(row, "compared").Bool})
	}
	return classes, nil
}

func classNames(classes []materialClass) []string {
	var names []string
	for _, class := range classes {
		names = append(names, class.Name)
	}
	return names
}

// isClass tells whether the district has the class; any will do while its classes are not known.
func (r *settingsReader) isClass(name string) bool {
	return r.classes == nil || slices.Contains(classNames(r.classes), name)
}

// checkSides asks for two different classes, both of them compared.
func (r *settingsReader) checkSides() {
	s := r.settings
	if s.Compare == s.Beside {
		r.fault([]string{besideKey}, "%q is compared with itself; name two classes", s.Beside)
	}
	var compared []string
	for _, class := range r.classes {
		if class.IsCompared {
			compared = append(compared, class.Name)
		}
	}
	for _, side := range [][2]string{{compareKey, s.Compare}, {besideKey, s.Beside}} {
		switch key, class := []string{side[0]}, side[1]; {
		case !r.isClass(class):
			r.fault(key, notAClass, class, strings.Join(compared, ", "))
		case r.classes != nil && !slices.Contains(compared, class):
			r.fault(key, "%q is not compared; write one of %s, or yes beside it in %s", class, strings.Join(compared, ", "),
				referenceFile(materialClassesName))
		}
	}
}
