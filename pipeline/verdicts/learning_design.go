package verdicts

import (
	"slices"

	"lanetally/pipeline/mixedmodel"
)

// lackingShare is the share of rows that may be left out for want of a covariate; beyond it the covariate is left out instead.
// Source: definitions, learning.
const lackingShare = 0.10

// Names of the covariates, factors and columns of the learning fits, as they stand in results and sentences.
const (
	interceptName = "intercept"
	Experience    = "x"
	slopeName     = "slope_crew"
	routeName     = "acetate_route"
	StormFactor   = "storm"
	classFactor   = "storm_class"
	RouteFactor   = "route"
	CrewFactor    = "crew"
)

// covariateNames are the weather covariates of every learning fit, of the route's zone in the storm.
var covariateNames = [...]string{"air_f_mean", "intensity", "freezing"}

// WeatherValues are a row's covariates in the order of covariateNames; nil where the zone lacks one.
type WeatherValues [len(covariateNames)]*float64

// designColumn is a fixed column that a fit is about: never centred, and not left out unless IsOptional, which lets it go when
// it is constant or a combination of the columns before it.
type designColumn struct {
	Name       string
	Values     []float64
	IsOptional bool
}

// designSlope asks for a random slope of a column per level of a factor; it goes with either.
type designSlope struct{ Name, Factor, Column string }

// designFactor groups the rows by label, for a random intercept per label.
type designFactor struct {
	Name   string
	Labels []string
}

// learningDesign is what one fit is asked. Slices hold one entry a row. Unusable gives a reason to leave a row out, or "".
// The factor named storm is what MinStorms counts. Slopes per crew need 3 crews.
type learningDesign struct {
	Response  []float64
	Unusable  []string
	Columns   []designColumn
	Weather   []WeatherValues
	Factors   []designFactor
	Slopes    []designSlope
	MinRows   int
	MinStorms int
}

// leftOut counts rows that a fit leaves out, by reason.
type leftOut struct {
	Reason string
	Rows   int
}

// rowChoice is which rows and covariates a fit uses.
type rowChoice struct {
	Rows        []int // indexes of the rows used
	LeftOut     []leftOut
	Covariates  []int // indexes into covariateNames
	NotAdjusted []string
}

// choose leaves out rows that lack a covariate while they are at most lackingShare of the usable rows; else the covariate that
// most rows lack (ties: the first), and asks again.
func (d *learningDesign) choose() rowChoice {
	var choice rowChoice
	var usable []int
	for i := range d.Response {
		if reason := d.unusable(i); reason == "" {
			usable = append(usable, i)
		} else {
			choice.LeftOut = countReason(choice.LeftOut, reason)
		}
	}
	kept := []int{0, 1, 2}
	for {
		lacking, most := d.lacking(usable, kept)
		if float64(lacking) <= lackingShare*float64(len(usable)) {
			break
		}
		choice.NotAdjusted = append(choice.NotAdjusted, covariateNames[most])
		kept = slices.DeleteFunc(kept, func(k int) bool { return k == most })
	}
	slices.Sort(choice.NotAdjusted)
	choice.Covariates = kept
	for _, i := range usable {
		if k := d.firstLacking(i, kept); k >= 0 {
			choice.LeftOut = countReason(choice.LeftOut, "no "+covariateNames[k])
		} else {
			choice.Rows = append(choice.Rows, i)
		}
	}
	return choice
}

func (d *learningDesign) unusable(i int) string {
	if d.Unusable == nil {
		return ""
	}
	return d.Unusable[i]
}

// lacking counts the rows that lack one of the covariates kept, and names the covariate that most rows lack (-1: none).
func (d *learningDesign) lacking(rows, kept []int) (count, most int) {
	most = -1
	highest := 0
	for _, k := range kept {
		missing := 0
		for _, i := range rows {
			if d.Weather[i][k] == nil {
				missing++
			}
		}
		if missing > highest {
			highest, most = missing, k
		}
	}
	for _, i := range rows {
		if d.firstLacking(i, kept) >= 0 {
			count++
		}
	}
	return count, most
}

func (d *learningDesign) firstLacking(i int, kept []int) int {
	for _, k := range kept {
		if d.Weather[i][k] == nil {
			return k
		}
	}
	return -1
}

func countReason(counts []leftOut, reason string) []leftOut {
	for i := range counts {
		if counts[i].Reason == reason {
			counts[i].Rows++
			return counts
		}
	}
	return append(counts, leftOut{Reason: reason, Rows: 1})
}

// fixedColumns gives the intercept, the design's columns and the covariates centred on the rows used, in that order. Constant
// covariates and constant optional columns are left out and named; so is, as fault, a constant column that the fit is about.
func (d *learningDesign) fixedColumns(choice rowChoice) (columns []designColumn, constant []string, fault string) {
	ones := make([]float64, len(choice.Rows))
	for i := range ones {
		ones[i] = 1
	}
	columns = []designColumn{{Name: interceptName, Values: ones}}
	for _, column := range d.Columns {
		values := pick(column.Values, choice.Rows)
		switch {
		case !mixedmodel.IsConstant(values):
			columns = append(columns, designColumn{Name: column.Name, Values: values, IsOptional: column.IsOptional})
		case column.IsOptional:
			constant = append(constant, column.Name)
		default:
			return nil, nil, column.Name
		}
	}
	for _, k := range choice.Covariates {
		values := make([]float64, len(choice.Rows))
		for i, row := range choice.Rows {
			values[i] = *d.Weather[row][k]
		}
		if mixedmodel.IsConstant(values) {
			constant = append(constant, covariateNames[k])
			continue
		}
		columns = append(columns, designColumn{Name: covariateNames[k], Values: centred(values), IsOptional: true})
	}
	return columns, constant, ""
}

// usedFactors gives the factors with at least 2 levels among the rows used, their levels numbered from 0 in the order of the
// labels' first rows, and the labels by number.
func (d *learningDesign) usedFactors(rows []int) (factors []mixedmodel.Factor, labels map[string][]string) {
	labels = map[string][]string{}
	for _, factor := range d.Factors {
		numbers := map[string]int{}
		levels := make([]int, len(rows))
		for i, row := range rows {
			label := factor.Labels[row]
			number, known := numbers[label]
			if !known {
				number = len(numbers)
				numbers[label] = number
				labels[factor.Name] = append(labels[factor.Name], label)
			}
			levels[i] = number
		}
		if len(numbers) >= 2 {
			factors = append(factors, mixedmodel.Factor{Name: factor.Name, Levels: levels})
		}
	}
	return factors, labels
}

func pick[T any](values []T, rows []int) []T {
	picked := make([]T, len(rows))
	for i, row := range rows {
		picked[i] = values[row]
	}
	return picked
}

func centred(values []float64) []float64 {
	mean := 0.0
	for _, value := range values {
		mean += value
	}
	mean /= float64(len(values))
	shifted := make([]float64, len(values))
	for i, value := range values {
		shifted[i] = value - mean
	}
	return shifted
}
