package tally

import (
	"context"
	"errors"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/metar"
)

// presentWxCode is a row of table present_wx_codes: a text of present weather with what its groups say.
type presentWxCode struct {
	PresentWx string `db:"present_wx"`
	metar.PresentWeather
}

// FillPresentWxCodes makes the table present_wx_codes: one row per distinct present_wx text of observations, with what its
// groups say. A text that does not decode has no row; findings counts the reports that carry one.
func FillPresentWxCodes(ctx context.Context, l *ledger.Ledger, _ *district.Settings) error {
	texts, err := ledger.ReadColumn[string](ctx, l,
		"select distinct present_wx as value from observations where present_wx is not null order by present_wx")
	if err != nil {
		return err
	}
	var rows []presentWxCode
	for _, text := range texts {
		weather, err := metar.DecodePresentWeather(text)
		var undecoded *metar.GroupError
		if errors.As(err, &undecoded) {
			continue
		}
		if err != nil {
			return err
		}
		rows = append(rows, presentWxCode{text, weather})
	}
	return ledger.ReplaceTable(ctx, l, "present_wx_codes", rows)
}
