package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

func TestOrdersStandOnlyWhereTheyCanMoveRates(t *testing.T) {
	gets := map[string]bool{rows.Chloride: true}
	assert.False(t, book.Concerns(rows.Order{MaterialClass: rows.Acetate}, "R1", gets), "the route never got acetate")
	assert.True(t, book.Concerns(rows.Order{MaterialClass: rows.Chloride}, "R1", gets))
	assert.True(t, book.Concerns(rows.Order{}, "R1", gets), "an order of every class and route")
	assert.False(t, book.Concerns(rows.Order{RouteID: "R2"}, "R1", gets))
}

func TestStockLeadBeginsWithWhatToOrder(t *testing.T) {
	soon, later := time.Date(2031, 2, 1, 0, 0, 0, 0, time.UTC), time.Date(2031, 3, 1, 0, 0, 0, 0, time.UTC)
	short := rows.StockOutlook{MaterialID: "b", OnHandLb: new(10.0), NeedP90Lb: new(20.0)}
	enough := rows.StockOutlook{MaterialID: "a", OnHandLb: new(30.0), NeedP90Lb: new(20.0)}
	var ids []string
	for _, o := range book.Sorted([]rows.StockOutlook{enough, short, {MaterialID: "c", OrderByDate: &later},
		{MaterialID: "d", OrderByDate: &soon}}, ByUrgency) {
		ids = append(ids, o.MaterialID)
	}
	assert.Equal(t, []string{"d", "c", "b", "a"}, ids)
}
