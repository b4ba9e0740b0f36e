package rows

// EverydayWord is what pages call a class of material where no other name is needed: salt for chloride, else its own name.
func EverydayWord(class string) string {
	if class == "chloride" {
		return "salt"
	}
	return class
}

// MaterialClass is a row of material_classes: a class of material, and whether the settings may compare it.
type MaterialClass struct {
	Class      string `db:"class"`
	IsCompared bool   `db:"compared"`
}
