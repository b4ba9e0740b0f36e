package pipeline

import (
	"fmt"
	"strings"

	"lanetally/pipeline/contract"
)

// FeedTables gives the feeds' column tables as Markdown, one heading a feed, as they stand in schemas/README.md.
func FeedTables() string { return contractTables("feeds", contract.FeedNames) }

// ReferenceTables gives the reference tables' columns likewise.
func ReferenceTables() string { return contractTables("reference", contract.ReferenceNames) }

// ExportTables gives the exports' columns likewise.
func ExportTables() string { return contractTables("exports", contract.ExportNames) }

// contractTables panics when an embedded contract cannot be read, which a test rules out.
func contractTables(kind string, names []string) string {
	b := &strings.Builder{}
	for i, name := range names {
		contract, err := contract.LoadContract(kind, name)
		if err != nil {
			panic(err)
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		writeContractTable(b, contract)
	}
	return b.String()
}

func writeContractTable(b *strings.Builder, c *contract.Contract) {
	fmt.Fprintf(b, "#### %s\n\n%s", c.Name, c.Description)
	if len(c.PrimaryKey) > 0 {
		fmt.Fprintf(b, " Key: %s.", strings.Join(c.PrimaryKey, ", "))
	}
	b.WriteString("\n\n| column | type | unit | meaning |\n|---|---|---|---|\n")
	for i := range c.Fields {
		field := &c.Fields[i]
		name := field.Name
		if field.Constraints.Required {
			name += "*"
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s |\n", name, typeWord(field.Type), field.Unit,
			strings.ReplaceAll(fieldMeaning(field), "|", "\\|"))
	}
}

// typeWord is the plain word of a Table Schema type.
func typeWord(fieldType string) string {
	words := map[string]string{"string": "text", "integer": "whole number", "boolean": "yes or no", "datetime": "time"}
	if word, ok := words[fieldType]; ok {
		return word
	}
	return fieldType
}

// fieldMeaning is the description with the words, bounds and default that the contract allows.
func fieldMeaning(field *contract.Field) string {
	meaning := field.Description
	if enum := field.Constraints.Enum; len(enum) > 0 {
		meaning += " One of `" + strings.Join(enum, "`, `") + "`."
	}
	if bounds := contract.BoundsText(&field.Constraints); bounds != "" {
		meaning += " " + strings.ToUpper(bounds[:1]) + bounds[1:] + "."
	}
	if field.Default != nil {
		meaning += " Empty means " + contract.PlainNumber(*field.Default) + "."
	}
	return meaning
}
