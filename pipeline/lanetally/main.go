// Command lanetally tallies what was spread on each route in each storm and publishes the season as a static site.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"lanetally/pipeline"
)

// tidyLimit is how long a stopped run may take to end by itself.
const tidyLimit = 1500 * time.Millisecond

func main() {
	signal.Ignore(syscall.SIGXFSZ) // a file over a limit is an error of the write
	ctx, stop := context.WithCancelCause(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		received := <-signals
		stop(pipeline.Stopped{Signal: received})
		select { // a second signal does not wait for tidying up, and tidying up does not wait for ever: being killed loses nothing
		case <-signals:
		case <-time.After(tidyLimit):
		}
		os.Exit(pipeline.ExitCode(pipeline.Stopped{Signal: received}))
	}()
	err := pipeline.Run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	if cause := context.Cause(ctx); err != nil && cause != nil {
		err = cause
	}
	if err != nil && err.Error() != "" {
		fmt.Fprintln(os.Stderr, pipeline.Words(err))
	}
	os.Exit(pipeline.ExitCode(err))
}
