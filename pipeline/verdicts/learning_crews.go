package verdicts

import (
	"math"

	"lanetally/pipeline/mixedmodel"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// CrewCurve is one crew's own curve: b0 + crew and b1 + slope_crew, on the scale of the logarithm, intervals from the prediction
// error variance. Nil where there is no curve.
type CrewCurve struct {
	crewExperience
	Start   *LearningEstimate
	Change  *LearningEstimate
	Latest  *LearningEstimate
	Verdict learningVerdict
}

// crewCurves gives the crews of the rows used, by crew_id, judged by Holm's adjustment over the crews of slope_crew.
func crewCurves(c *LearningCurve) []CrewCurve {
	crews := make([]CrewCurve, len(c.Crews))
	for i, crew := range c.Crews {
		crews[i] = CrewCurve{crewExperience: crew, Verdict: learningVerdict{Base: rows.TooEarly}}
		if c.Fit.IsFitted() {
			crews[i].Start = c.ofCrew(crew.CrewID, 1, 0)
			crews[i].Change = c.ofCrew(crew.CrewID, 0, 1)
			crews[i].Latest = c.ofCrew(crew.CrewID, 1, crew.X)
		}
	}
	judgeCrews(c, crews)
	for i := range crews {
		crews[i].Verdict.Caveats = append(crews[i].Verdict.Caveats, c.Verdict.Caveats...)
	}
	return crews
}

// ofCrew is start x (b0 + crew) + change x (b1 + slope_crew); an effect that the model lacks counts as 0.
func (c *LearningCurve) ofCrew(crewID string, start, change float64) *LearningEstimate {
	combination := c.Fit.Combination(map[string]float64{interceptName: start, Experience: change})
	combination.Random = c.crewTerms(crewID, start, change)
	return c.Fit.Estimate(combination, 0, 0).widened(c.Widening)
}

func (c *LearningCurve) crewTerms(crewID string, start, change float64) []mixedmodel.Term {
	level := -1
	for number, label := range c.Fit.Labels[CrewFactor] {
		if label == crewID {
			level = number
		}
	}
	var terms []mixedmodel.Term
	for _, part := range []struct {
		name   string
		weight float64
	}{{CrewFactor, start}, {slopeName, change}} {
		if k := c.Fit.component(part.name); k >= 0 && level >= 0 && part.weight != 0 {
			terms = append(terms, mixedmodel.Term{Component: k, Level: level, Weight: part.weight})
		}
	}
	return terms
}

// judgeCrews fills the base verdicts. Where the variance of the slopes is 0 every crew is like the others.
func judgeCrews(c *LearningCurve, crews []CrewCurve) {
	if !c.Fit.IsFitted() {
		return
	}
	slope := c.Fit.component(slopeName)
	if slope < 0 {
		for i := range crews {
			crews[i].Verdict.Caveats = []string{rows.FewCrews}
		}
		return
	}
	p := make([]float64, len(crews))
	deviations := make([]float64, len(crews))
	for i, crew := range crews {
		crews[i].Verdict.Base = rows.CrewLikeOthers
		p[i], deviations[i] = c.slopeTest(slope, crew.CrewID)
	}
	adjusted, err := stats.Holm(p)
	if err != nil {
		return
	}
	for i := range crews {
		if adjusted[i] >= 1-intervalLevel {
			continue
		}
		crews[i].Verdict.Base = rows.CrewFaster
		if deviations[i] > 0 {
			crews[i].Verdict.Base = rows.CrewSlower
		}
	}
}

// slopeTest is the two-sided p value of slope_crew = 0 by its prediction error variance, and the predicted slope_crew; p is 1
// where there is nothing to judge by.
func (c *LearningCurve) slopeTest(slope int, crewID string) (p, deviation float64) {
	terms := c.crewTerms(crewID, 0, 1)
	if c.Fit.Result.Components[slope].AtBoundary || len(terms) == 0 {
		return 1, 0
	}
	predicted, err := c.Fit.Result.Predict(mixedmodel.Combination{Random: terms})
	if err != nil || predicted.SE == 0 {
		return 1, 0
	}
	p, err = stats.TTwoSided(predicted.Value/predicted.SE, predicted.DF)
	if err != nil || math.IsNaN(p) {
		return 1, 0
	}
	return p, predicted.Value
}
