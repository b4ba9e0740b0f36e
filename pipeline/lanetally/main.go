// Command lanetally tallies what was spread on each route in each storm and publishes the season as a static site.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"lanetally/pipeline"
)

func main() {
	ctx, stop := context.WithCancelCause(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		received := <-signals
		stop(pipeline.Stopped{Signal: received})
		<-signals // a second signal does not wait for tidying up
		os.Exit(pipeline.ExitCode(pipeline.Stopped{Signal: received}))
	}()
	err := pipeline.Run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	if cause := context.Cause(ctx); err != nil && cause != nil {
		err = cause
	}
	if err != nil && err.Error() != "" {
		fmt.Fprintln(os.Stderr, "lanetally: "+err.Error())
	}
	os.Exit(pipeline.ExitCode(err))
}
