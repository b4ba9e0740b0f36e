package pipeline

import (
	"context"
	"fmt"
	"os/exec"
	"strings"
	"time"
)

// notifyLimit is how long the notifying program may take.
const notifyLimit = time.Minute

// notify runs [notify] command with the readable report on standard input. The program is started as it is named, without a
// shell. A run that a signal ended, or whose settings could not be read, tells nobody.
func (n *night) notify(ctx context.Context) error {
	if n.settings == nil || len(n.settings.Notify.Command) == 0 || ctx.Err() != nil {
		return nil
	}
	limited, stop := context.WithTimeout(ctx, notifyLimit)
	defer stop()
	words := n.settings.Notify.Command
	command := exec.CommandContext(limited, words[0],
		words[1:]...) // #nosec G204 -- the words of district.toml, no shell, nothing delivered among them
	command.Stdin = strings.NewReader(n.report.readable())
	command.WaitDelay = time.Second
	if output, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("[notify] command %q: %w: %.200s", words, err, output)
	}
	return nil
}
