package verdicts

import (
	"math"
	"time"
)

// comparedZonesQuery gives every closed storm and zone with the sums of both classes.
const comparedZonesQuery = `
select zones.season, zones.storm_id, zones.run_began_at, zones.is_compared,
    cast(zones.acetate_passes as bigint) as acetate_passes, cast(zones.acetate_prior_storms as bigint) as acetate_prior_storms,
    cast(acetate.applied_ulb as bigint) as acetate_ulb, cast(chloride.applied_ulb as bigint) as chloride_ulb,
    cast(acetate.treated_ulane_mi as bigint) as acetate_treated, cast(chloride.treated_ulane_mi as bigint) as chloride_treated,
    cast(acetate.route_ulane_mi as bigint) as acetate_length, cast(chloride.route_ulane_mi as bigint) as chloride_length,
    acetate.regain_sum / nullif(acetate.bare_ulane_mi, 0) / 3.6e9 as acetate_regain_h,
    chloride.regain_sum / nullif(chloride.bare_ulane_mi, 0) / 3.6e9 as chloride_regain_h
from comparison_zones as zones
cross join run
inner join comparison_classes as acetate
    on acetate.storm_id = zones.storm_id and acetate.zone_id = zones.zone_id and acetate.material_class = run.compare
inner join comparison_classes as chloride
    on chloride.storm_id = zones.storm_id and chloride.zone_id = zones.zone_id and chloride.material_class = run.beside
order by zones.season, zones.run_began_at, zones.storm_id, zones.zone_id`

// comparedZone is a closed storm in a zone: millionths of a pound and of a lane-mile, hours.
type comparedZone struct {
	Season          string    `db:"season"`
	StormID         string    `db:"storm_id"`
	RunBeganAt      time.Time `db:"run_began_at"`
	IsCompared      bool      `db:"is_compared"`
	AcetatePasses   int64     `db:"acetate_passes"`
	AcetatePrior    int64     `db:"acetate_prior_storms"`
	AcetateUlb      int64     `db:"acetate_ulb"`
	ChlorideUlb     int64     `db:"chloride_ulb"`
	AcetateTreated  int64     `db:"acetate_treated"`
	ChlorideTreated int64     `db:"chloride_treated"`
	AcetateLength   int64     `db:"acetate_length"`
	ChlorideLength  int64     `db:"chloride_length"`
	AcetateRegainH  *float64  `db:"acetate_regain_h"`
	ChlorideRegainH *float64  `db:"chloride_regain_h"`
}

// classSums are a class's pounds, treated and route lane-miles in one storm, over the zones compared, in millionths.
type classSums struct{ applied, treated, length int64 }

// comparedStorm is one storm over its compared zones. Where a storm has several zones, logRatio is the mean of their log ratios and
// regainDiffH the mean of their differences; each is nil where no zone has it, experience where the storm has no acetate pass.
type comparedStorm struct {
	stormID           string
	acetate, chloride classSums
	logRatio          *float64
	regainDiffH       *float64
	experience        *float64 // log2(1 + mean prior storms of the acetate passes)
}

// stormsOfSeason gathers the compared zones of a season by storm, in the order of the zones, which is that of the storms' begins.
func stormsOfSeason(zones []comparedZone, season string) []comparedStorm {
	byStorm := map[string][]comparedZone{}
	var order []string
	for _, zone := range zones {
		if zone.Season != season || !zone.IsCompared {
			continue
		}
		if len(byStorm[zone.StormID]) == 0 {
			order = append(order, zone.StormID)
		}
		byStorm[zone.StormID] = append(byStorm[zone.StormID], zone)
	}
	storms := make([]comparedStorm, len(order))
	for i, id := range order {
		storms[i] = gatherStorm(byStorm[id])
	}
	return storms
}

// gatherStorm joins the zones of one storm, at least one.
func gatherStorm(zones []comparedZone) comparedStorm {
	storm := comparedStorm{stormID: zones[0].StormID}
	var logRatios, regainDiffs []float64
	for _, zone := range zones {
		storm.acetate.add(classSums{zone.AcetateUlb, zone.AcetateTreated, zone.AcetateLength})
		storm.chloride.add(classSums{zone.ChlorideUlb, zone.ChlorideTreated, zone.ChlorideLength})
		if zone.AcetateUlb > 0 && zone.ChlorideUlb > 0 {
			logRatios = append(logRatios, math.Log(float64(zone.AcetateUlb)/float64(zone.AcetateLength))-
				math.Log(float64(zone.ChlorideUlb)/float64(zone.ChlorideLength)))
		}
		if zone.AcetateRegainH != nil && zone.ChlorideRegainH != nil {
			regainDiffs = append(regainDiffs, *zone.AcetateRegainH-*zone.ChlorideRegainH)
		}
	}
	storm.logRatio, storm.regainDiffH = meanOf(logRatios), meanOf(regainDiffs)
	if passes := zones[0].AcetatePasses; passes > 0 {
		experience := math.Log2(1 + float64(zones[0].AcetatePrior)/float64(passes))
		storm.experience = &experience
	}
	return storm
}

func (sums *classSums) add(more classSums) {
	sums.applied += more.applied
	sums.treated += more.treated
	sums.length += more.length
}

// meanOf is the plain mean, nil of no values.
func meanOf(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	total := 0.0
	for _, value := range values {
		total += value
	}
	return new(total / float64(len(values)))
}
