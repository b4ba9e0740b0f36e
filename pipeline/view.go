package pipeline

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"
)

// maxPort is the highest port number: 16 bits (RFC 9293, section 3.1).
const maxPort = 1<<16 - 1

// serveSite serves current/public on the loopback address until ctx ends, and tells ready its address.
// Only this machine can reach it. A district without a release is an error.
func serveSite(ctx context.Context, dir string, port int, ready func(address string) error) error {
	public := filepath.Join(dir, "current", "public")
	if _, err := os.Stat(public); err != nil {
		return fmt.Errorf("nothing is published yet: run lanetally nightly %s: %w", dir, err)
	}
	listener, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", fmt.Sprint(port)))
	if err != nil {
		return err
	}
	if err := ready("http://" + listener.Addr().String() + "/"); err != nil {
		return errors.Join(err, listener.Close())
	}
	// The link is followed at each request, so that a new night shows without a restart.
	server := &http.Server{Handler: http.FileServer(http.Dir(public)), ReadHeaderTimeout: 5 * time.Second}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
		return errors.Join(server.Close(), ctx.Err())
	}
}
