package pipeline

import (
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/verdicts"
	"lanetally/site/format"
)

type planCommand struct {
	Dir       string  `arg:"" optional:"" type:"district" help:"District folder; without it, assumptions alone."`
	Routes    []int64 `help:"Acetate and chloride routes of a district." placeholder:"3,7"`
	Storms    int64   `help:"Storms a season."`
	Seasons   int64   `help:"Seasons with acetate."`
	Districts int64   `help:"Districts; from two on the answer is of such districts."`
	MarginPct float64 `help:"Difference to be told, in percent." default:"10"`
	JSON      bool    `help:"Print the plans as JSON."`
}

// Run says how many routes, storms, seasons or districts it takes, by design.
func (k planCommand) Run(c console) error {
	base := verdicts.DefaultPlan()
	if k.Dir != "" {
		if err := readPlan(k.Dir, &base); err != nil {
			return err
		}
	}
	if err := k.fill(&base); err != nil {
		return err
	}
	var list []rows.Plan
	for _, design := range rows.PlanDesigns {
		base.Design = design
		list = append(list, verdicts.Planned(base))
	}
	if k.JSON {
		return c.printJSON(list)
	}
	return printPlans(c.out, list)
}

// readPlan takes a plan of the live release, for its routes, storms and standard deviations; without one p stays.
func readPlan(dir string, p *rows.Plan) error {
	published, err := readPublished(dir, "plans")
	if err != nil || len(published) == 0 {
		return err
	}
	plans, err := typedRows("plans", published[:1])
	if err != nil {
		return err
	}
	text, err := json.Marshal(plans[0])
	if err == nil {
		err = json.Unmarshal(text, p)
	}
	return err
}

// fill puts in what the command line tells.
func (k planCommand) fill(p *rows.Plan) error {
	if n := len(k.Routes); n != 0 && n != 2 {
		return usageFault{fmt.Errorf("--routes has %d numbers; write acetate and chloride routes, such as 3,7", n)}
	}
	flags := []string{"--storms", "--seasons", "--districts", "--routes", "--routes"}
	into := []*int64{&p.SeasonStorms, &p.Seasons, &p.Districts, &p.AcetateRoutes, &p.ChlorideRoutes}
	for i, n := range append([]int64{k.Storms, k.Seasons, k.Districts}, k.Routes...) {
		if n < 0 || n > rows.PlanLimit || n == 0 && i >= 3 {
			return usageFault{fmt.Errorf("%s: %d is out of range; write a number from 1 to %d", flags[i], n, rows.PlanLimit)}
		}
		if n > 0 {
			*into[i] = n
		}
	}
	if p.Margin = k.MarginPct / 100; !(p.Margin > 0 && p.Margin <= 1) {
		return usageFault{fmt.Errorf("--margin-pct: %v is out of range; write a number above 0, at most 100", k.MarginPct)}
	}
	return nil
}

// printPlans writes what each design takes, and what all rest on.
func printPlans(w io.Writer, list []rows.Plan) error {
	out, p := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0), list[0]
	fmt.Fprintf(out, "To tell %.4g %%; districts %d, of each acetate and chloride routes %d and %d, seasons %d, storms a season %d.\n"+
		"Each number stands for itself, – is over %d. Roads decide first.\n"+
		"design\tchance %%\tor storms\tin seasons\tor routes\tor districts\n",
		100*p.Margin, p.Districts, p.AcetateRoutes, p.ChlorideRoutes, p.Seasons, p.SeasonStorms, rows.PlanLimit)
	for _, p := range list {
		fmt.Fprintf(out, "%s\t%.0f\t%s\t%s\t%s and %s\t%s\n", p.Design, 100*p.ChanceShare, format.Count(p.StormsNeeded),
			format.Count(p.SeasonsNeeded), format.Count(p.AcetateRoutesNeeded), format.Count(p.ChlorideRoutesNeeded),
			format.Count(p.DistrictsNeeded))
	}
	fmt.Fprintf(out, "Standard deviations of ln pounds: route %.3f, acetate route %.3f, storm class %.3f, residual %.3f, season %.3f, "+
		"district %.3f; assumed: %s.\n", p.SDRoute, p.SDAcetateRoute, p.SDStormClass, p.SDResidual, p.SDSeason, p.SDDistrict, p.Assumed)
	return out.Flush()
}
