package pipeline

import (
	"context"
	"errors"
	"fmt"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/metar"
)

// presentWxFlags lists the flags of present_wx_codes in column order, each with its place in the decoded weather.
var presentWxFlags = []struct {
	column string
	flag   func(metar.PresentWeather) bool
}{
	{"is_frozen_any_temp", func(w metar.PresentWeather) bool { return w.IsFrozenAnyTemp }},
	{"is_frozen_cold", func(w metar.PresentWeather) bool { return w.IsFrozenCold }},
	{"is_cold_precip", func(w metar.PresentWeather) bool { return w.IsColdPrecip }},
	{"has_precip", func(w metar.PresentWeather) bool { return w.HasPrecip }},
	{"has_snow", func(w metar.PresentWeather) bool { return w.HasSnow }},
	{"has_sleet", func(w metar.PresentWeather) bool { return w.HasSleet }},
	{"has_freezing", func(w metar.PresentWeather) bool { return w.HasFreezing }},
	{"has_rain", func(w metar.PresentWeather) bool { return w.HasRain }},
	{"has_blowing_snow", func(w metar.PresentWeather) bool { return w.HasBlowingSnow }},
}

// fillPresentWxCodes makes the table present_wx_codes: one row per distinct present_wx text of observations, with what its
// groups say. A text that does not decode has no row; findings counts the reports that carry one.
func fillPresentWxCodes(ctx context.Context, l *Ledger) error {
	type distinctText struct {
		PresentWx string `db:"present_wx"`
	}
	texts, err := readTable[distinctText](ctx, l,
		"select distinct present_wx from observations where present_wx is not null order by present_wx")
	if err != nil {
		return fmt.Errorf("present weather: %w", err)
	}
	fields := []arrow.Field{{Name: "present_wx", Type: arrow.BinaryTypes.String}}
	ddl := "create or replace table present_wx_codes (present_wx varchar not null"
	for _, f := range presentWxFlags {
		fields = append(fields, arrow.Field{Name: f.column, Type: arrow.FixedWidthTypes.Boolean})
		ddl += ", " + quoteName(f.column) + " boolean not null"
	}
	if err := l.Exec(ctx, ddl+")"); err != nil {
		return fmt.Errorf("present weather: %w", err)
	}
	schema := arrow.NewSchema(fields, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	for _, text := range texts {
		if err := appendPresentWx(b, text.PresentWx); err != nil {
			return fmt.Errorf("present weather: %w", err)
		}
	}
	record := b.NewRecordBatch()
	defer record.Release()
	if record.NumRows() == 0 {
		return nil
	}
	reader, err := array.NewRecordReader(schema, []arrow.RecordBatch{record})
	if err != nil {
		return fmt.Errorf("present weather: %w", err)
	}
	defer reader.Release()
	return l.insertRecords(ctx, "present_wx_codes", reader)
}

// appendPresentWx adds the row of one text to b, or none when the text does not decode.
func appendPresentWx(b *array.RecordBuilder, text string) error {
	weather, err := metar.DecodePresentWeather(text)
	var undecoded *metar.GroupError
	if errors.As(err, &undecoded) {
		return nil
	}
	if err != nil {
		return err
	}
	b.Field(0).(*array.StringBuilder).Append(text)
	for i, f := range presentWxFlags {
		b.Field(i + 1).(*array.BooleanBuilder).Append(f.flag(weather))
	}
	return nil
}
