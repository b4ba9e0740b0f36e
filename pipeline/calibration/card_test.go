package calibration

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var (
	morning = time.Date(2028, 10, 1, 15, 0, 0, 0, time.UTC)
	salt    = Material{"salt", "Rock salt", 70}
	cma     = Material{"cma", "Acetate pellets", 44}
	sand    = Material{"sand", "Sand", 100}
	grit    = Material{"grit", "Grit", 0}
)

// byTurns is a sample of 10 turns at 30 turns a minute.
func byTurns(at time.Time, gateIn, caughtLb float64) CatchTest {
	return CatchTest{At: at, GateIn: gateIn, CaughtLb: caughtLb, Revolutions: 10, RevPerMin: 30, SpeedMph: 20}
}

// testedRequest: gates of 1 and 2 in deliver 100 and 200 lb/min: means of 3 samples a 10 turns, 33.3 and 66.7 lb.
func testedRequest() Request {
	third := 100.0 / 3
	var tests []CatchTest
	for _, off := range []float64{-0.5, 0, 0.5} {
		tests = append(tests, byTurns(morning, 2, 2*third+off), byTurns(morning, 1, third+off))
	}
	return Request{District: "Example district", TruckID: "T1", Material: salt, Zone: time.UTC,
		Benches: []Bench{{Material: cma}, {Material: grit}, {Material: salt, Tests: tests}, {Material: sand}}}
}

func TestCard(t *testing.T) {
	r := testedRequest()
	r.RateLbPerLaneMi, r.Lanes = 225, 2
	c, err := Make(r)
	require.NoError(t, err)
	assert.False(t, c.IsEstimate)
	assert.Equal(t, 30.0, c.RevPerMin)
	assert.Equal(t, 20.0, c.SpeedMph, "of the latest test")
	require.Len(t, c.Gates, 2)
	assert.Equal(t, 1.0, c.Gates[0].GateIn)
	assert.Equal(t, 3, c.Gates[0].Samples)
	assert.InDelta(t, 10.0/3, c.Gates[0].LbPerRev, 1e-9)
	assert.InDelta(t, 100, c.Gates[0].LbPerMin, 1e-9)
	assert.InDelta(t, 0.03, c.Gates[0].SpreadShare, 1e-9)
	// 200 lb/min at 20 mph: 600 lb/mile (the handbook's example), 300 lb/lane-mile on two lanes.
	assert.InDelta(t, 600, c.Miles[1].LbPerMile[1], 1e-9)
	assert.InDelta(t, 300, c.LaneMiles[1].LbPerLaneMi[1], 1e-9)
	// 225 lb/lane-mile x 2 lanes / 3 min = 150 lb/min: half way between the gates.
	require.NotNil(t, c.Wanted)
	assert.Equal(t, Between, c.Wanted.Reach)
	assert.InDelta(t, 1.5, c.Wanted.GateIn, 1e-9)
	assert.Equal(t, "225 lb/lane-mile on 2 lanes at 20 mph needs 150 lb/min: gate 1.5 in, between the tested 1 and 2 in.",
		c.Wanted.Sentence(c.Lanes, c.SpeedMph))
	// Others: known densities only, never the material itself. Acetate 150 lb/lane-mile x 44 / 70 = 94.3.
	require.Len(t, c.Others, 2)
	assert.Equal(t, "cma", c.Others[0].MaterialID)
	assert.InDelta(t, 150.0*44/70, c.Others[0].LbPerLaneMi[0], 1e-9)
	assert.Equal(t, EstimateLabel, c.Others[0].Label)
	assert.Empty(t, c.Notes)
}

func TestGateFor(t *testing.T) {
	gates := []Gate{{GateIn: 1, LbPerMin: 100}, {GateIn: 2, LbPerMin: 180}, {GateIn: 3, LbPerMin: 300}}
	for _, k := range []struct {
		lbPerMin, gateIn float64
		reach            Reach
	}{{99.9, 0, Below}, {100, 1, AtGate}, {140, 1.5, Between}, {180, 2, AtGate}, {240, 2.5, Between}, {300, 3, AtGate}, {300.1, 0, Above}} {
		w := GateFor(gates, k.lbPerMin*3, 1, 20)
		assert.Equal(t, k.reach, w.Reach, k.lbPerMin)
		assert.InDelta(t, k.gateIn, w.GateIn, 1e-9, k.lbPerMin)
		if k.gateIn == 0 {
			assert.Contains(t, w.Sentence(1, 20), "No gate is given")
		}
	}
	assert.Equal(t, Untested, GateFor(nil, 300, 1, 20).Reach)
	assert.Equal(t, Above, GateFor(gates[:1], 600, 1, 20).Reach, "one gate is never drawn out")
}

// A gate that is given lies between tested gates and, on the line between them, delivers what was asked for.
func TestGateForNeverLeavesTheTestedGates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var gates []Gate
		for i, lb := range rapid.SliceOfN(rapid.Float64Range(10, 600), 1, 6).Draw(t, "deliveries") {
			gates = append(gates, Gate{GateIn: 0.5 * float64(i+1), LbPerMin: lb})
		}
		rate := rapid.Float64Range(1, 2000).Draw(t, "rate")
		w := GateFor(gates, rate, 1, 25)
		if w.GateIn == 0 {
			assert.Contains(t, []Reach{Below, Above}, w.Reach)
			return
		}
		assert.GreaterOrEqual(t, w.GateIn, gates[0].GateIn)
		assert.LessOrEqual(t, w.GateIn, gates[len(gates)-1].GateIn)
		assert.InEpsilon(t, rate, LbPerMile(deliveryAt(gates, w.GateIn), 25), 1e-6)
	})
}

func TestOlderSessionsDoNotCount(t *testing.T) {
	r := testedRequest()
	r.Benches[2].Tests = append(r.Benches[2].Tests, byTurns(morning.AddDate(-1, 0, 0), 1, 90), byTurns(morning.AddDate(-1, 0, 0), 3, 90))
	c, err := Make(r)
	require.NoError(t, err)
	require.Len(t, c.Gates, 3)
	assert.InDelta(t, 100, c.Gates[0].LbPerMin, 1e-9)
	assert.Equal(t, "2027-10-01", c.Gates[2].TestedDate)
	assert.Contains(t, strings.Join(c.Notes, "\n"), "different dates")
	assert.Contains(t, strings.Join(c.Notes, "\n"), "Fewer than 3 samples at gate 3 in.")
}

// 30 lb in 20 s are 90 lb/min whatever the shaft; at a noted 45 turns a minute they are 2 lb a turn, so 60 lb/min at 30.
func TestSamplesByTime(t *testing.T) {
	timed := CatchTest{At: morning, GateIn: 1, CaughtLb: 30, Seconds: 20}
	lb, ok := timed.lbPerMin(30)
	assert.True(t, ok)
	assert.InDelta(t, 90, lb, 1e-9)
	timed.RevPerMin = 45
	lb, ok = timed.lbPerMin(30)
	assert.True(t, ok)
	assert.InDelta(t, 60, lb, 1e-9)
	turned := CatchTest{At: morning, GateIn: 1, CaughtLb: 30, Revolutions: 10}
	_, ok = turned.lbPerMin(0)
	assert.False(t, ok, "turns without a shaft speed")
	c, err := Make(Request{TruckID: "T1", Material: salt, Zone: time.UTC,
		Benches: []Bench{{Material: salt, Tests: []CatchTest{turned, {At: morning, GateIn: 2, CaughtLb: 30, Seconds: 20}}}}})
	require.NoError(t, err)
	require.Len(t, c.Gates, 1)
	assert.Contains(t, c.Notes[0], "1 samples by revolutions have no shaft speed")
	assert.Equal(t, 25.0, c.SpeedMph)
}

func TestCalibrationsOnRecordMakeACardWithoutTests(t *testing.T) {
	r := Request{TruckID: "T1", Material: salt, Zone: time.UTC,
		Benches: []Bench{{Material: salt, Records: []Record{{morning, 1.5, 600, 20}, {morning.AddDate(-1, 0, 0), 1.5, 900, 20}}}}}
	c, err := Make(r)
	require.NoError(t, err)
	assert.Equal(t, basisRecords, c.Basis)
	require.Len(t, c.Gates, 1)
	assert.InDelta(t, 200, c.Gates[0].LbPerMin, 1e-9) // 600 lb/mile at 3 min a mile
	assert.Empty(t, c.OnRecord)
}

func TestARecordFarFromTheCardIsSaid(t *testing.T) {
	r := testedRequest()
	r.Benches[2].Records = []Record{{morning, 1.5, 450 * 1.2, 20}, {morning, 1.5, 360 * 1.05, 25}, {morning, 3, 900, 20}}
	c, err := Make(r)
	require.NoError(t, err)
	require.Len(t, c.OnRecord, 3)
	assert.InDelta(t, 450, c.OnRecord[0].CardLbPerMile, 1e-9)
	assert.Zero(t, c.OnRecord[2].CardLbPerMile, "beyond the tested gates")
	assert.Contains(t, strings.Join(c.Notes, "\n"), "at 1.5 in is +20 % from the card")
}

func TestEstimateByDensity(t *testing.T) {
	r := testedRequest()
	r.Material = cma
	c, err := Make(r)
	require.NoError(t, err)
	assert.True(t, c.IsEstimate)
	assert.Equal(t, "salt", c.FromMaterialID)
	assert.InDelta(t, 100.0*44/70, c.Gates[0].LbPerMin, 1e-9)
	assert.Empty(t, c.Others)
	var page, text strings.Builder
	require.NoError(t, c.WriteHTML(&page))
	require.NoError(t, c.WriteText(&text))
	assert.Contains(t, page.String(), `<p class="estimate">`+EstimateLabel)
	assert.Contains(t, text.String(), strings.ToUpper(EstimateLabel))
	assert.Contains(t, strings.Join(c.Notes, "\n"), EstimateLabel)

	r.Material = grit
	_, err = Make(r)
	require.ErrorIs(t, err, ErrNothingTested, "no density, no estimate")
	_, err = Make(Request{TruckID: "T1", Material: salt, Zone: time.UTC})
	require.ErrorIs(t, err, ErrNothingTested)
}

func TestNotesSayWhatIsWrong(t *testing.T) {
	r := testedRequest()
	r.Benches[2].Tests = []CatchTest{byTurns(morning, 1, 30), byTurns(morning, 1, 40), byTurns(morning, 2, 30)}
	c, err := Make(r)
	require.NoError(t, err)
	notes := strings.Join(c.Notes, "\n")
	assert.Contains(t, notes, "A wider gate delivered no more")
	assert.Contains(t, notes, "Fewer than 3 samples at gate 1, 2 in.")
	assert.Contains(t, notes, "Samples are more than 10 % apart at gate 1 in: repeat.")
	r.Benches[2].Tests = r.Benches[2].Tests[2:]
	c, err = Make(r)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(c.Notes, "\n"), "One gate was tested")
}

func TestNamesAreEscaped(t *testing.T) {
	r := testedRequest()
	r.TruckID, r.District = `</title><script>x</script>`, `"&<b>`
	c, err := Make(r)
	require.NoError(t, err)
	var page strings.Builder
	require.NoError(t, c.WriteHTML(&page))
	assert.NotContains(t, page.String(), "<script>")
	assert.NotContains(t, page.String(), "<b>")
}

func TestNumber(t *testing.T) {
	for x, want := range map[float64]string{0: "-", 3: "3", 2.836: "2.84", 68.14: "68.1", 304.4: "304", 1234.6: "1235"} {
		assert.Equal(t, want, Number(x))
	}
	assert.Equal(t, "1.58", gateText(1.5802))
	assert.Equal(t, "2", gateText(2))
}
