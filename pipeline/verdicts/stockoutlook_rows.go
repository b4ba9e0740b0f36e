package verdicts

import (
	"context"
	"errors"
	"math"
	"slices"
	"strconv"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// FillStockOutlook draws the rest of the season for every material that is stocked or was used, and replaces the tables
// stock_outlook and stock_fan; without any data both are empty.
func FillStockOutlook(ctx context.Context, l *ledger.Ledger, s *district.Settings) error {
	var list []rows.StockOutlook
	var fan []rows.StockFan
	asOf, err := ledger.ReadAsOf(ctx, l)
	if err != nil {
		return err
	}
	if asOf != nil {
		inputs, err := readOutlooks(ctx, l, s, DateOf(asOf.In(s.Location)))
		if err != nil {
			return err
		}
		for i := range inputs {
			out := DrawOutlook(&inputs[i])
			list = append(list, out.Row(&inputs[i]))
			fan = append(fan, out.FanRows(&inputs[i])...)
		}
	}
	return errors.Join(ledger.ReplaceTable(ctx, l, "stock_outlook", list), ledger.ReplaceTable(ctx, l, "stock_fan", fan))
}

// DateOf is the date of a local instant, as midnight UTC, so that days have one length.
func DateOf(local time.Time) time.Time {
	return time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
}

func pounds(uLb int64) *float64 { return new(float64(uLb) / 1e6) }

// Row is the outlook's row of stock_outlook, in pounds; what was not counted, drawn or asked for is nil.
func (out *outlook) Row(in *OutlookInput) rows.StockOutlook {
	row := rows.StockOutlook{MaterialID: in.MaterialID, AsOfDate: in.AsOf, StormsSoFar: int64(in.StormsSoFar), Basis: out.Basis,
		Seed: strconv.FormatUint(out.Seed, 10)}
	if in.OnHandULb != nil {
		row.OnHandLb = pounds(*in.OnHandULb)
	}
	if out.IsDrawn {
		row.NeedP10Lb, row.NeedP50Lb, row.NeedP90Lb = pounds(out.NeedULb[0]), pounds(out.NeedULb[1]), pounds(out.NeedULb[2])
	}
	if out.OrderDay >= 0 {
		row.OrderByDate = new(in.AsOf.AddDate(0, 0, out.OrderDay))
	}
	return row
}

// FanRows are the outlook's rows of stock_fan: pounds left, the p10 where use is at its p90; nil where no pile was ever counted.
func (out *outlook) FanRows(in *OutlookInput) []rows.StockFan {
	if in.OnHandULb == nil {
		return nil
	}
	var list []rows.StockFan
	for _, point := range out.Fan {
		list = append(list, rows.StockFan{MaterialID: in.MaterialID, Date: in.AsOf.AddDate(0, 0, point.day),
			LeftP10Lb: pounds(*in.OnHandULb - point.useULb[2]), LeftP50Lb: pounds(*in.OnHandULb - point.useULb[1]),
			LeftP90Lb: pounds(*in.OnHandULb - point.useULb[0])})
	}
	return list
}

// stockedMaterial is a material that is stocked or was used.
type stockedMaterial struct {
	MaterialID string   `db:"material_id"`
	Class      string   `db:"class"`
	OnHandLb   *float64 `db:"on_hand_lb"`
}

// materialDay is a day's use of a material.
type materialDay struct {
	Season     string    `db:"season"`
	MaterialID string    `db:"material_id"`
	UseDate    time.Time `db:"use_date"`
	UseULb     int64     `db:"use_ulb"`
}

// materialStorm is a closed storm's use of a material.
type materialStorm struct {
	Season     string `db:"season"`
	MaterialID string `db:"material_id"`
	UseULb     int64  `db:"use_ulb"`
}

// stormBegin is a storm's season and local date.
type stormBegin struct {
	Season    string    `db:"season"`
	StormDate time.Time `db:"storm_date"`
}

// outlookTables are the rows that the outlooks are made of.
type outlookTables struct {
	materials []stockedMaterial
	days      []materialDay
	storms    []materialStorm
	begins    []stormBegin
	seasons   []string // with passes, before this one
	laneMiles map[string]map[string]float64
}

// readOutlooks gives the input of each material's outlook, by material_id.
func readOutlooks(ctx context.Context, l *ledger.Ledger, s *district.Settings, asOf time.Time) ([]OutlookInput, error) {
	t, err := readOutlookTables(ctx, l, asOf)
	if err != nil {
		return nil, err
	}
	base, err := seasonCalendar(asOf, s.LastStormDate)
	if err != nil {
		return nil, err
	}
	base.Draws, base.LeadDays = s.OutlookDraws, int(math.Ceil(s.LeadDays))
	t.addStorms(&base, seasonOf(asOf))
	var inputs []OutlookInput
	for _, material := range t.materials {
		in := base
		in.MaterialID = material.MaterialID
		if material.OnHandLb != nil {
			in.OnHandULb = new(int64(math.RoundToEven(*material.OnHandLb * 1e6)))
		}
		t.addUses(&in, material)
		inputs = append(inputs, in)
	}
	return inputs, nil
}

// seasonCalendar gives the dates of the season that holds asOf.
func seasonCalendar(asOf time.Time, lastStormDate string) (OutlookInput, error) {
	last, err := time.Parse("2006-01-02", "2001-"+lastStormDate)
	if err != nil {
		return OutlookInput{}, err
	}
	year := seasonEndYear(asOf) - (seasonEndYear(last) - last.Year())
	return OutlookInput{AsOf: asOf, LastStorm: time.Date(year, last.Month(), last.Day(), 0, 0, 0, 0, time.UTC),
		SeasonEnd: time.Date(seasonEndYear(asOf), time.June, 30, 0, 0, 0, 0, time.UTC)}, nil
}

// addStorms counts the storms so far, and finds the day on which the winter opened: the earliest date, within a season, on which a storm
// of any season began; without one, the day of the outlook.
func (t *outlookTables) addStorms(in *OutlookInput, season string) {
	in.Opened = in.AsOf
	for i, begin := range t.begins {
		if begin.Season == season {
			in.StormsSoFar++
		}
		years := in.SeasonEnd.Year() - seasonEndYear(begin.StormDate)
		if inThisSeason := begin.StormDate.AddDate(years, 0, 0); i == 0 || inThisSeason.Before(in.Opened) {
			in.Opened = inThisSeason
		}
	}
}

// seasonEndYear is the year in which the season of a date ends.
func seasonEndYear(date time.Time) int {
	if date.Month() < time.July {
		return date.Year()
	}
	return date.Year() + 1
}

// addUses adds what past seasons and storms took of a material. A season without assigned lane-miles of the class, where there are some
// today, cannot speak and is left out; where there are none today either, its use counts as it is.
func (t *outlookTables) addUses(in *OutlookInput, material stockedMaterial) {
	current := seasonOf(in.AsOf)
	today := t.laneMiles[current][material.Class]
	for _, season := range t.seasons {
		scale := 1.0
		switch then := t.laneMiles[season][material.Class]; {
		case then > 0:
			scale = today / then
		case today > 0:
			continue
		}
		in.Seasons = append(in.Seasons, t.seasonUses(in, material.MaterialID, season, scale))
	}
	var years []string
	for _, storm := range t.storms {
		if storm.MaterialID == material.MaterialID {
			in.StormUses = append(in.StormUses, storm.UseULb)
			years = append(years, storm.Season)
		}
	}
	slices.Sort(years)
	in.StormYears = len(slices.Compact(years))
}

// seasonUses gives a past season's uses after this date of the year, times scale.
func (t *outlookTables) seasonUses(in *OutlookInput, materialID, season string, scale float64) []DayUse {
	uses := []DayUse{}
	for _, day := range t.days {
		if day.MaterialID != materialID || day.Season != season {
			continue
		}
		then := in.AsOf.AddDate(seasonEndYear(day.UseDate)-in.SeasonEnd.Year(), 0, 0)
		if after := DaysBetween(then, day.UseDate); after > 0 {
			uses = append(uses, DayUse{after, int64(math.RoundToEven(float64(day.UseULb) * scale))})
		}
	}
	return uses
}

func readOutlookTables(ctx context.Context, l *ledger.Ledger, asOf time.Time) (*outlookTables, error) {
	t := &outlookTables{laneMiles: map[string]map[string]float64{}}
	return t, errors.Join(
		ledger.ReadInto(ctx, l, &t.materials, `
			with held as (select material_id, sum(cast(round_even(on_hand_lb * 1e6, 0) as bigint)) / 1e6 as on_hand_lb
				from stock_on_hand group by material_id)
			select material_id, class, on_hand_lb from materials left join held using (material_id)
			where material_id in (select material_id from stock_on_hand union select material_id from material_days)
			order by material_id`),
		ledger.ReadInto(ctx, l, &t.days,
			"select season, material_id, use_date, use_ulb from material_days order by season, material_id, use_date"),
		ledger.ReadInto(ctx, l, &t.storms, "select season, material_id, use_ulb from material_storms order by storm_id, material_id"),
		ledger.ReadInto(ctx, l, &t.begins,
			`select any_value(season) as season, cast(timezone(any_value(run.time_zone), min(run_began_at)) as date) as storm_date
			from storms cross join run group by storm_id order by storm_date, storm_id`),
		t.readLaneMiles(ctx, l, asOf))
}

// readLaneMiles lists the past seasons with passes, and reads each season's assigned lane-miles by class on this date of the year.
func (t *outlookTables) readLaneMiles(ctx context.Context, l *ledger.Ledger, asOf time.Time) error {
	var err error
	t.seasons, err = ledger.ReadColumn[string](ctx, l,
		"select distinct season as value from storm_passes where season < ? order by season", seasonOf(asOf))
	if err != nil {
		return err
	}
	type assigned struct {
		Class     string  `db:"material_class"`
		LaneMiles float64 `db:"lane_miles"`
	}
	for _, season := range append(slices.Clone(t.seasons), seasonOf(asOf)) {
		firstYear, err := strconv.Atoi(season[:4])
		if err != nil {
			return err
		}
		date := asOf.AddDate(firstYear+1-seasonEndYear(asOf), 0, 0)
		rows, err := ledger.ReadTable[assigned](ctx, l, `
			select assignments.material_class, sum(cast(round_even(routes.lane_miles * 1e6, 0) as bigint)) / 1e6 as lane_miles
			from assignments inner join routes on routes.route_id = assignments.route_id
			where assignments.from_date <= cast(? as date) and coalesce(assignments.to_date, date '9999-12-31') >= cast(? as date)
			group by assignments.material_class`, date.Format(time.DateOnly), date.Format(time.DateOnly))
		if err != nil {
			return err
		}
		t.laneMiles[season] = map[string]float64{}
		for _, row := range rows {
			t.laneMiles[season][row.Class] = row.LaneMiles
		}
	}
	return nil
}
