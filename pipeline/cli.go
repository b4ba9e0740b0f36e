package pipeline

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/scenario"
)

// commands is the command line.
type commands struct {
	Now   nowFlag `help:"Take this instant (RFC 3339) for the clock; for tests." hidden:""`
	Quiet bool    `short:"q" help:"Say nothing but results and faults."`

	New      newCommand      `cmd:"" help:"Write an empty district folder to fill in."`
	Demo     demoCommand     `cmd:"" help:"Write an invented district with two seasons of deliveries."`
	Check    checkCommand    `cmd:"" help:"Say what would load and what would be refused; change nothing."`
	Nightly  nightlyCommand  `cmd:"" help:"Load the deliveries, tally, and publish the site."`
	Verify   verifyCommand   `cmd:"" help:"Reread releases and archive; name every file that changed."`
	Rollback rollbackCommand `cmd:"" help:"Make a former release live again."`
	Prune    pruneCommand    `cmd:"" help:"Delete old files of the inbox that the archive holds whole."`
	Compact  compactCommand  `cmd:"" help:"Drop what the archive holds and nothing needs."`
	Status   statusCommand   `cmd:"" help:"Say how fresh data and site are, and how the last run ended."`
	Notify   notifyCommand   `cmd:"" help:"Tell the status and the last run to [notify] command."`
	Storm    stormCommand    `cmd:"" help:"Show one storm as a table."`
	View     viewCommand     `cmd:"" help:"Serve the published site to this machine's browser."`
	Explain  explainCommand  `cmd:"" help:"Say how a pass came about, with a picture of its positions."`
	Roads    roadsCommand    `cmd:"" help:"Make the drawings of routes and other roads from a GeoJSON of roads."`
	Version  versionCommand  `cmd:"" help:"Say which version this is; --version does too."`

	Calibrate calibrateCommand `cmd:"" help:"Print a truck's spreader card from its catch tests."`
	Plan      planCommand      `cmd:"" help:"Say how many routes, storms, seasons or districts it takes to tell how pounds compare."`

	Compare compareCommand `cmd:"" help:"Tally last night's rows with other settings, and say what moves."`

	Help       helpCommand       `cmd:"" help:"Show what a command does, with an example."`
	Manual     manualCommand     `cmd:"" help:"Write the manual page."`
	Completion completionCommand `cmd:"" help:"Write what makes a shell complete commands and flags."`
}

// nowFlag is the clock of a command: the flag's instant, else the machine's.
type nowFlag struct{ time.Time }

// UnmarshalText reads an RFC 3339 instant.
func (n *nowFlag) UnmarshalText(text []byte) (err error) {
	n.Time, err = time.Parse(time.RFC3339, string(text))
	return err
}

// console is where a command writes: results to out, words for people to words.
type console struct {
	out, words io.Writer
	now        time.Time
	clock      func() time.Time // of how long a long load still takes
}

// printJSON writes v to standard output as indented JSON.
func (c console) printJSON(v any) error {
	encoder := json.NewEncoder(c.out)
	encoder.SetIndent("", "  ")
	return encoder.Encode(v)
}

// say writes one line for people.
func (c console) say(format string, args ...any) error {
	_, err := visibleWriter{c.words}.Write(fmt.Appendf(nil, format+"\n", args...))
	return err
}

// visibleWriter writes lines in which delivered names steer nothing. Each Write is whole characters.
type visibleWriter struct{ to io.Writer }

// Write writes the text as VisibleLines shows it.
func (v visibleWriter) Write(text []byte) (int, error) {
	if _, err := io.WriteString(v.to, rows.VisibleLines(string(text))); err != nil {
		return 0, err
	}
	return len(text), nil
}

// Run carries out one command line. Results go to stdout and words for people to stderr; ExitCode gives the exit code
// of the error. It never calls os.Exit.
func Run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	disk.GuardMask()
	switch {
	case len(args) == 0:
		args = []string{"--help"}
	case slices.Equal(args, []string{"--version"}):
		args = []string{"version"}
	}
	return runLine(ctx, args, console{out: stdout, words: stderr, clock: time.Now})
}

// runLine carries out one command line on c.
func runLine(ctx context.Context, args []string, c console) error {
	var line commands
	leave := false
	parser, err := newParser(&line, c.out, c.words, func(int) { leave = true })
	if err != nil {
		return err
	}
	parsed, err := parser.Parse(args)
	if leave {
		return nil
	}
	if err != nil {
		return usageFault{fmt.Errorf("%w; lanetally --help lists the commands", err)}
	}
	parsed.BindTo(ctx, (*context.Context)(nil))
	if line.Quiet {
		c.words = io.Discard
	}
	if c.now = line.Now.Time; c.now.IsZero() {
		c.now = c.clock()
	}
	c.now, c.out = c.now.UTC().Truncate(time.Second), visibleWriter{c.out}
	return parsed.Run(c)
}

// newParser reads command lines into line.
func newParser(line *commands, stdout, stderr io.Writer, exit func(int)) (*kong.Kong, error) {
	parser, err := kong.New(line,
		kong.Name("lanetally"),
		kong.Description("Pounds per lane-mile per storm: what was spread on each route, and whether acetate comes down to salt."),
		kong.Writers(stdout, stderr), kong.Exit(exit), kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.NamedMapper("district", kong.MapperFunc(districtFolder)))
	if err == nil {
		explainCommands(parser.Model)
	}
	return parser, err
}

// districtFolder takes the path of a folder that is there.
func districtFolder(ctx *kong.DecodeContext, target reflect.Value) error {
	var dir string
	if err := ctx.Scan.PopValueInto("district folder", &dir); err != nil {
		return err
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return fmt.Errorf("there is no folder %s; make a district with lanetally new %s", dir, dir)
	}
	target.SetString(dir)
	return nil
}

type newCommand struct {
	Dir   string `arg:"" help:"Folder to write; must be empty or absent."`
	Name  string `help:"Name of the district, for the pages." default:"Our district"`
	Units bool   `help:"Write a systemd service and timer and a cron line to DIR/units; a district that is there stays as it is."`
}

// Run writes the empty district, or the units of one that is there.
func (n newCommand) Run(c console) error {
	_, err := os.Stat(filepath.Join(n.Dir, "district.toml"))
	if isThere := err == nil; !n.Units || !isThere {
		if err := writeNewDistrict(n.Dir, n.Name); err != nil {
			return err
		}
		if err := c.say("wrote an empty district to %s: fill in reference/*.csv and district.toml, put deliveries into inbox/, then "+
			"run lanetally check %s", n.Dir, n.Dir); err != nil {
			return err
		}
	}
	if !n.Units {
		return nil
	}
	program, err := os.Executable()
	if err != nil {
		return err
	}
	folder, err := writeUnits(n.Dir, program)
	if err != nil {
		return err
	}
	return c.say("wrote a systemd service and timer and a cron line to %s; read them, then install one", folder)
}

type demoCommand struct {
	Dir  string `arg:"" help:"Folder to write; must be empty or absent."`
	Seed uint64 `help:"Seed of the invented district." default:"20290211"`
	JSON bool   `help:"Print the truth behind the invented data."`
}

// Run writes the demo district.
func (d demoCommand) Run(c console) error {
	truth, err := scenario.Write(d.Dir, scenario.Options{Seed: d.Seed})
	if errors.Is(err, scenario.ErrNotEmpty) {
		return usageFault{err}
	}
	if err != nil {
		return err
	}
	if d.JSON {
		if err := c.printJSON(truth); err != nil {
			return err
		}
	}
	return c.say("wrote the demo district (seed %d) to %s; next: lanetally nightly %s", d.Seed, d.Dir, d.Dir)
}

type checkCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	JSON bool   `help:"Print the findings as JSON."`
}

// Run says what tonight would load and refuse.
func (k checkCommand) Run(ctx context.Context, c console) error {
	result, err := checkDistrict(ctx, k.Dir)
	if err != nil {
		return err
	}
	if k.JSON {
		err = c.printJSON(result)
	} else {
		err = result.print(c.out)
	}
	if err == nil && !result.isClean() {
		return Found{}
	}
	return err
}

type nightlyCommand struct {
	Dir    string `arg:"" type:"district" help:"District folder."`
	Accept string `help:"Publish figures that would not go live by themselves; the reason is kept and shown." placeholder:"REASON"`
	Silent bool   `help:"Leave [notify] command alone after a failure: the unit lanetally-failed.service runs it."`
	JSON   bool   `help:"Print the run's report as JSON."`
}

// Run loads, tallies and publishes.
func (n nightlyCommand) Run(ctx context.Context, c console) error {
	report, err := Nightly(ctx, NightlyOptions{Dir: n.Dir, Now: c.now, Words: c.words, Clock: c.clock, Accept: strings.TrimSpace(n.Accept),
		Silent: n.Silent})
	if err != nil {
		return err
	}
	if n.JSON {
		return c.printJSON(report)
	}
	if err := c.say("%s", report.sentence()); err != nil {
		return err
	}
	_, err = fmt.Fprintln(c.out, report.Dashboard)
	return err
}

type statusCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	JSON bool   `help:"Print the status as JSON."`
}

// Run tells freshness, the last run and the counts.
func (s statusCommand) Run(c console) error {
	status, err := readStatus(s.Dir, c.now)
	if err != nil {
		return err
	}
	if s.JSON {
		err = c.printJSON(status)
	} else {
		err = status.print(c.out)
	}
	if err == nil && len(status.Findings) > 0 {
		return Found{}
	}
	return err
}

type stormCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	ID   string `arg:"" help:"Storm, as on the storms page."`
	JSON bool   `help:"Print the storm as JSON."`
}

// Run shows one storm.
func (s stormCommand) Run(c console) error {
	storm, err := readStorm(s.Dir, s.ID)
	if err != nil {
		return err
	}
	if s.JSON {
		return c.printJSON(storm)
	}
	return storm.print(c.out)
}

type viewCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	Port int    `help:"Port on the loopback address; 0 takes a free one." default:"0"`
}

// Run serves the published site until it is stopped.
func (v viewCommand) Run(ctx context.Context, c console) error {
	if v.Port < 0 || v.Port > maxPort {
		return usageFault{fmt.Errorf("--port %d is no port; give one from 1 to %d, or 0 for a free one", v.Port, maxPort)}
	}
	err := serveSite(ctx, v.Dir, v.Port, func(address string) error { return c.say("the site is at %s; Ctrl-C ends", address) })
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// version is the program's version. Its first number is that of the definitions: it goes up with each definition that changes, and
// site/book/versions.csv then says which, and what that did to the demo's seasons.
const version = "11.0"

// commit is what the program was built from; the Makefile gives it to the linker.
var commit = "unknown"

type versionCommand struct{}

// Run says which version this is, what it was built from, and which DuckDB is in it.
func (versionCommand) Run(ctx context.Context, c console) (err error) {
	l, err := ledger.Open(ctx, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	rows, err := ledger.ReadTable[struct {
		DuckDB string `db:"duckdb"`
	}](ctx, l, "select version() as duckdb")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.out, "lanetally %s, commit %s, DuckDB %s\n", version, commit, rows[0].DuckDB)
	return err
}
