package district

import (
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/contract"
)

// Budget is what a season may spend on one class of material, in dollars.
type Budget struct {
	Season        string  `db:"season"` // 2028-29
	MaterialClass string  `db:"material_class"`
	AmountUsd     float64 `db:"budget_usd"`
}

// DamageCost is what the district believes that a ton of a class costs elsewhere: corrosion, vehicles, trees. The program ships none;
// Source is
// the district's own words on where the amount comes from. All four must be given.
type DamageCost struct {
	Name          string  `db:"name" toml:"name"`
	UsdPerTon     float64 `db:"usd_per_ton" toml:"usd_per_ton"`
	MaterialClass string  `db:"material_class" toml:"material_class"`
	Source        string  `db:"source" toml:"source"`
}

const damageCostsKey = "damage_costs"

// isSeason tells whether text names a season: a year, a hyphen, and the last two digits of the year after it.
func isSeason(text string) bool {
	first, err := time.Parse("2006", text[:min(4, len(text))])
	return err == nil && text == first.Format("2006-")+first.AddDate(1, 0, 0).Format("06")
}

// readBudgets reads [budget."2028-29"] tables with a key such as acetate_usd per class.
func (r *settingsReader) readBudgets(path []string, value any) {
	var keys []string
	for _, class := range r.classes {
		keys = append(keys, class.Name+"_usd")
	}
	seasons := r.table(path, value)
	for _, season := range contract.SortedKeys(seasons) {
		at := append(slices.Clone(path), season)
		if !isSeason(season) {
			r.fault(at, "%q is not a season; write [budget.\"2028-29\"] for 1 July 2028 to 30 June 2029", season)
			continue
		}
		amounts := r.table(at, seasons[season])
		for _, key := range contract.SortedKeys(amounts) {
			under := append(slices.Clone(at), key)
			class, isAmount := strings.CutSuffix(key, "_usd")
			if !isAmount || !r.isClass(class) {
				r.unknown(under, keys)
			} else if usd, ok := r.number(under, amounts[key]); ok {
				r.settings.Budgets = append(r.settings.Budgets, Budget{season, class, usd})
			}
		}
	}
}

// readDamageCosts reads the [[damage_costs]] tables.
func (r *settingsReader) readDamageCosts(path []string, value any) {
	list, ok := value.([]map[string]any)
	if !ok {
		r.fault(path, "%s is not a list of tables; write [[damage_costs]] on a line of its own", quoteSetting(value))
	}
	for i, table := range list {
		before := len(r.faults)
		cost := r.readDamageCost(path, i+1, table)
		if len(r.faults) > before {
			continue
		}
		if slices.ContainsFunc(r.settings.DamageCosts,
			func(d DamageCost) bool { return d.Name == cost.Name && d.MaterialClass == cost.MaterialClass }) {
			r.fault(path, "number %d: %q for %s is given twice; give each its own name", i+1, cost.Name, cost.MaterialClass)
			continue
		}
		r.settings.DamageCosts = append(r.settings.DamageCosts, cost)
	}
}

func (r *settingsReader) readDamageCost(path []string, number int, table map[string]any) (cost DamageCost) {
	fields := fieldsOf(&cost)
	r.section(path, table, fields, nil)
	for _, key := range contract.SortedKeys(fields) {
		if value, isGiven := table[key]; !isGiven {
			r.fault(path, "number %d has no %s; write it: a damage cost stands with its name, its amount, its class and its source",
				number, key)
		} else if text, isText := value.(string); isText && strings.TrimSpace(text) == "" {
			r.fault(append(slices.Clone(path), key), "%s is not a text; write it in quotes", quoteSetting(value))
		}
	}
	if class := cost.MaterialClass; strings.TrimSpace(class) != "" && !r.isClass(class) {
		r.fault(append(slices.Clone(path), "material_class"), notAClass, class, strings.Join(classNames(r.classes), ", "))
	}
	return cost
}
