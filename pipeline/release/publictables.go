package release

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/ledger"
	"lanetally/schemas"
)

// publicRule says which figures of a table are not public in rows, called t, of which where holds; "rows" leaves such rows out.
type publicRule struct{ table, figures, where string }

// publicStatements are those of schemas/public.sql that stand before its rules, and publicRules the rules.
var publicStatements, publicRules = readPublicRules(schemas.Public)

func readPublicRules(text string) (statements []string, rules []publicRule) {
	for _, block := range strings.Split(strings.TrimSpace(text), "\n\n")[1:] { // the first says how to read it
		head, where, _ := strings.Cut(block, "\n")
		tables, figures, isRule := strings.Cut(strings.TrimPrefix(head, "-- "), ": ")
		if !isRule {
			statements = append(statements, block)
			continue
		}
		for _, table := range strings.Fields(tables) {
			rules = append(rules, publicRule{table, figures, where})
		}
	}
	return statements, rules
}

// columns are those that the rule names, or of which the contract of its export, or of those that the table is parted into, says its words.
func (r publicRule) columns() []string {
	if !strings.HasPrefix(r.figures, "unless ") {
		return strings.Fields(r.figures)
	}
	var names []string
	for _, c := range contract.Exports() {
		if c.Name != r.table && !strings.HasPrefix(c.Name, r.table+"_") {
			continue
		}
		for _, f := range c.Fields {
			if f.Public == r.figures && !slices.Contains(names, f.Name) {
				names = append(names, f.Name)
			}
		}
	}
	return names
}

// publicTable names the view that holds what is public of a table.
func publicTable(table string) string {
	if slices.ContainsFunc(publicRules, func(r publicRule) bool { return r.table == table }) {
		return "public_" + table
	}
	return table
}

// makePublicTables makes a view for each table that has rules, with one more column, is_withheld: whether the row lacks figures by its
// first rule. No row names the crews of a route among which one is too small for figures.
func makePublicTables(ctx context.Context, l *ledger.Ledger, small []string) error {
	withheld, kept, replaced := map[string]string{}, map[string]string{}, map[string][]string{}
	for _, r := range publicRules {
		if r.figures == "rows" {
			withheld[r.table], kept[r.table] = "false", " where not ("+r.where+")"
			continue
		}
		if withheld[r.table] == "" {
			withheld[r.table] = r.where
		}
		for _, name := range r.columns() {
			replaced[r.table] = append(replaced[r.table], fmt.Sprintf("case when not (%s) then %s end as %[2]s", r.where,
				ledger.QuoteName(name)))
		}
	}
	statements := append([]string{"create or replace temp macro small_crews() as " + ledger.TextList(small)}, publicStatements...)
	for _, table := range contract.SortedKeys(withheld) {
		columns := "t.*"
		if len(replaced[table]) > 0 {
			columns += " replace (" + strings.Join(replaced[table], ", ") + ")"
		}
		statements = append(statements, "create or replace temp view public_"+table+" as select "+columns+", "+withheld[table]+
			" as is_withheld from "+table+" as t"+kept[table])
	}
	for _, statement := range statements {
		if err := l.Exec(ctx, statement); err != nil {
			return fmt.Errorf("what is public: %w", err)
		}
	}
	return nil
}
