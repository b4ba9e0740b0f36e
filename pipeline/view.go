package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"
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
	server := &http.Server{Handler: loopbackOnly(http.FileServerFS(siteFiles{filepath.Join(dir, "current")})),
		ReadHeaderTimeout: 5 * time.Second}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
		return errors.Join(server.Close(), ctx.Err())
	}
}

// loopbackOnly answers only requests that name this machine itself: those of a page whose site's name was made to lead here name that site.
func loopbackOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := (&url.URL{Host: r.Host}).Hostname()
		if !strings.EqualFold(name, "localhost") && !net.ParseIP(name).IsLoopback() {
			http.Error(w, "this site is for this machine alone: open it as localhost or 127.0.0.1", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// siteFiles are the regular files of the live release's public folder, and its folders that have a first page, so that none is ever listed.
// The link to the live release is followed at each request, so that a new night shows without a restart, and no other link ever.
type siteFiles struct{ current string }

// Open opens a file by its path below public; whatever the site does not serve is fs.ErrNotExist.
func (s siteFiles) Open(name string) (fs.File, error) {
	release, err := filepath.EvalSymlinks(s.current)
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(release)
	if err != nil {
		return nil, err
	}
	file, err := openServed(root, path.Join("public", name))
	return file, errors.Join(err, root.Close())
}

func openServed(root *os.Root, name string) (fs.File, error) {
	for folder := path.Dir(name); folder != "."; folder = path.Dir(folder) {
		if info, err := root.Lstat(folder); err != nil || !info.IsDir() {
			return nil, fs.ErrNotExist
		}
	}
	info, err := root.Lstat(name)
	if err == nil && info.IsDir() {
		info, err = root.Lstat(path.Join(name, "index.html"))
	}
	if err != nil || !info.Mode().IsRegular() {
		return nil, fs.ErrNotExist
	}
	return root.Open(name)
}
