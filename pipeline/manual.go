package pipeline

import (
	"context"
	_ "embed" // the examples
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

//go:embed examples.txt
var examplesText string

// explainCommands puts each command's example behind its help.
func explainCommands(model *kong.Application) {
	for line := range strings.Lines(examplesText) {
		cells := strings.Split(strings.TrimSpace(line), " | ")
		for _, command := range model.Children {
			if command.Name == cells[0] {
				command.Detail = "Example:\n\n    " + cells[1] + "\n\ngives " + cells[2] + "."
			}
		}
	}
}

// commandModel is the command line's own description.
func commandModel() (*kong.Application, error) {
	parser, err := newParser(new(commands), io.Discard, io.Discard, func(int) {})
	if err != nil {
		return nil, err
	}
	return parser.Model, nil
}

type helpCommand struct {
	Command []string `arg:"" optional:"" help:"Command; without one, all are listed."`
}

// Run shows the help of a command.
func (h helpCommand) Run(ctx context.Context, c console) error {
	return runLine(ctx, append(h.Command, "--help"), c)
}

type manualCommand struct{}

// Run writes the manual page in the form that man reads.
func (manualCommand) Run(c console) error {
	model, err := commandModel()
	if err != nil {
		return err
	}
	page := &strings.Builder{}
	fmt.Fprintf(page, ".TH LANETALLY 1 \"\" \"lanetally %s\"\n.SH NAME\nlanetally \\- %s\n", version, roff(model.Help))
	page.WriteString(".SH SYNOPSIS\n.B lanetally\nCOMMAND\n.SH COMMANDS\n")
	for _, command := range model.Children {
		fmt.Fprintf(page, ".SS %s\n%s\n", roff(command.Summary()), roff(command.Help))
		for _, flag := range command.Flags {
			if flag.Name != "help" {
				fmt.Fprintf(page, ".TP\n.B %s\n%s\n", roff(flag.String()), roff(flag.Help))
			}
		}
		fmt.Fprintf(page, ".PP\n.nf\n%s\n.fi\n", roff(command.Detail))
	}
	_, err = io.WriteString(c.out, page.String())
	return err
}

// roff writes text so that no character of it is a request or an escape of the manual's form.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	return strings.ReplaceAll(strings.ReplaceAll("\n"+text, "\n.", "\n\\&."), "\n'", "\n\\&'")[1:]
}

type completionCommand struct{}

// Run writes the lines that make a shell complete commands, flags and folders: bash, and zsh with its bashcompinit.
func (completionCommand) Run(c console) error {
	model, err := commandModel()
	if err != nil {
		return err
	}
	script := &strings.Builder{}
	script.WriteString("_lanetally() {\n  local words\n  case \"${COMP_WORDS[1]}\" in\n")
	var names []string
	for _, command := range model.Children {
		names = append(names, command.Name)
		var flags []string
		for _, flag := range command.Flags {
			flags = append(flags, "--"+flag.Name)
		}
		fmt.Fprintf(script, "    %s) words=\"%s\" ;;\n", command.Name, strings.Join(flags, " "))
	}
	fmt.Fprintf(script, "  esac\n  if [ \"$COMP_CWORD\" = 1 ]; then words=\"%s\"; fi\n", strings.Join(names, " "))
	script.WriteString("  COMPREPLY=($(compgen -W \"$words\" -- \"${COMP_WORDS[COMP_CWORD]}\"))\n}\n" +
		"if [ -n \"$ZSH_VERSION\" ]; then autoload -U bashcompinit && bashcompinit; fi\ncomplete -o default -F _lanetally lanetally\n")
	_, err = io.WriteString(c.out, script.String())
	return err
}
