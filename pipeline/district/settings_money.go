package district

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
)

// Budget is what a season may spend on one class of material, in dollars.
type Budget struct {
	Season        string  `db:"season"` // 2028-29
	MaterialClass string  `db:"material_class"`
	AmountUsd     float64 `db:"budget_usd"`
}

// DamageCost is what the district believes that a ton of a class costs elsewhere: corrosion, vehicles, trees. The program ships none;
// Source is
// the district's own words on where the amount comes from.
type DamageCost struct {
	Name          string  `db:"name"`
	UsdPerTon     float64 `db:"usd_per_ton"`
	MaterialClass string  `db:"material_class"`
	Source        string  `db:"source"`
}

const (
	budgetKey      = "budget"
	damageCostsKey = "damage_costs"
)

var seasonText = regexp.MustCompile(`^(\d{4})-(\d{2})$`)

// isSeason tells whether text names a season: a year, a hyphen, and the last two digits of the year after it.
func isSeason(text string) bool {
	parts := seasonText.FindStringSubmatch(text)
	if parts == nil {
		return false
	}
	var first, second int
	if _, err := fmt.Sscanf(text, "%d-%d", &first, &second); err != nil {
		return false
	}
	return second == (first+1)%100
}

// readBudgets reads [budget."2028-29"] tables with a key such as acetate_usd per class.
func (r *settingsReader) readBudgets(path []string, value any) {
	var keys []string
	for _, class := range r.classes {
		keys = append(keys, class.Name+"_usd")
	}
	seasons := r.table(path, value)
	for _, season := range slices.Sorted(maps.Keys(seasons)) {
		at := append(path[:1:1], season)
		if !isSeason(season) {
			r.fault(at, "%q is not a season; write [budget.\"2028-29\"] for 1 July 2028 to 30 June 2029", season)
			continue
		}
		amounts := r.table(at, seasons[season])
		for _, key := range slices.Sorted(maps.Keys(amounts)) {
			under := append(at[:2:2], key)
			class, found := strings.CutSuffix(key, "_usd")
			if !found || !r.isClass(class) {
				r.unknown(under, keys)
				continue
			}
			if usd, ok := r.amount(under, amounts[key]); ok {
				r.settings.Budgets = append(r.settings.Budgets, Budget{season, class, usd})
			}
		}
	}
}

// amount reads dollars: a number from 0 to a thousand million.
func (r *settingsReader) amount(path []string, value any) (float64, bool) {
	return r.number(settingKey{Low: 0, High: 1e9, Meaning: "US dollars"}, path, value)
}

// damageKeys are the keys of one [[damage_costs]] table; all must be given.
var damageKeys = []string{"name", "usd_per_ton", "material_class", "source"}

// readDamageCosts reads the [[damage_costs]] tables.
func (r *settingsReader) readDamageCosts(path []string, value any) {
	list, ok := value.([]map[string]any)
	if !ok {
		r.fault(path, "%s is not a list of tables; write [[damage_costs]] on a line of its own", quoteSetting(value))
		return
	}
	for i, table := range list {
		cost, ok := r.readDamageCost(path, i, table)
		if !ok {
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

func (r *settingsReader) readDamageCost(path []string, index int, table map[string]any) (cost DamageCost, ok bool) {
	before := len(r.faults)
	for _, key := range slices.Sorted(maps.Keys(table)) {
		if !slices.Contains(damageKeys, key) {
			r.unknown(append(path[:1:1], key), damageKeys)
		}
	}
	texts := map[string]*string{"name": &cost.Name, "material_class": &cost.MaterialClass, "source": &cost.Source}
	for _, key := range damageKeys {
		at := append(path[:1:1], key)
		value, given := table[key]
		if !given {
			r.fault(path, "number %d has no %s; write it: a damage cost stands with its name, its amount, its class and its source",
				index+1, key)
			continue
		}
		if place := texts[key]; place != nil {
			text, isText := value.(string)
			if !isText || strings.TrimSpace(text) == "" {
				r.fault(at, "%s is not a text; write it in quotes", quoteSetting(value))
				continue
			}
			*place = text
		} else if usd, isAmount := r.amount(at, value); isAmount && !math.IsNaN(usd) {
			cost.UsdPerTon = usd
		}
	}
	if class := cost.MaterialClass; class != "" && !r.isClass(class) {
		r.fault(append(path[:1:1], "material_class"), notAClass, class, strings.Join(classNames(r.classes), ", "))
	}
	return cost, len(r.faults) == before
}
