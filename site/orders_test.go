package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestOrdersStandOnlyWhereTheyCanMoveRates(t *testing.T) {
	gets := map[string]bool{chloride: true}
	assert.False(t, concerns(Order{MaterialClass: acetate}, "R1", gets), "the route never got acetate")
	assert.True(t, concerns(Order{MaterialClass: chloride}, "R1", gets))
	assert.True(t, concerns(Order{}, "R1", gets), "an order of every class and route")
	assert.False(t, concerns(Order{RouteID: "R2"}, "R1", gets))
}

func TestStockLeadBeginsWithWhatToOrder(t *testing.T) {
	soon, later := time.Date(2031, 2, 1, 0, 0, 0, 0, time.UTC), time.Date(2031, 3, 1, 0, 0, 0, 0, time.UTC)
	short := StockOutlook{MaterialID: "b", OnHandLb: new(10.0), NeedP90Lb: new(20.0)}
	enough := StockOutlook{MaterialID: "a", OnHandLb: new(30.0), NeedP90Lb: new(20.0)}
	var ids []string
	for _, o := range sorted([]StockOutlook{enough, short, {MaterialID: "c", OrderByDate: &later}, {MaterialID: "d", OrderByDate: &soon}}, byUrgency) {
		ids = append(ids, o.MaterialID)
	}
	assert.Equal(t, []string{"d", "c", "b", "a"}, ids)
}
