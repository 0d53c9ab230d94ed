package repo

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"
)

const (
	// silence is how long a server may say nothing before it is given up.
	silence = 30 * time.Second
	// reportEvery is how often somebody who waits is told how things stand.
	reportEvery = 5 * time.Second
)

// ErrSilent: the other side said nothing for too long.
var ErrSilent = errors.New("nothing came from there")

// watch ends an exchange during which nothing moves, and tells how it goes on.
// It does not rely on what it watches: who holds its context is cut off.
type watch struct {
	ctx    context.Context
	cancel context.CancelCauseFunc
	say    func(string)

	mu       sync.Mutex
	doing    string // what is said of it
	moved    int64  // bytes, either way
	at       time.Time
	patience time.Duration
	paused   bool
	stop     chan struct{}
}

func newWatch(ctx context.Context, doing string, patience time.Duration, say func(string)) *watch {
	if patience == 0 {
		patience = silence
	}
	w := &watch{say: say, doing: doing, at: time.Now(), patience: patience, stop: make(chan struct{})}
	w.ctx, w.cancel = context.WithCancelCause(ctx)
	say(doing)
	go w.run()
	return w
}

func (w *watch) run() {
	tick := time.NewTicker(min(reportEvery, w.patience/4))
	defer tick.Stop()
	told := time.Now()
	for {
		select {
		case <-w.stop:
			return
		case now := <-tick.C:
			w.mu.Lock()
			quiet, text := now.Sub(w.at), w.status()
			over := !w.paused && quiet >= w.patience
			w.mu.Unlock()
			if over {
				w.cancel(fmt.Errorf("%w for %v; nothing was changed; see whether the connection stands, and try again", ErrSilent, w.patience))
				return
			}
			if now.Sub(told) >= reportEvery {
				told = now
				w.say(text)
			}
		}
	}
}

func (w *watch) status() string {
	switch {
	case w.moved >= 1<<20:
		return fmt.Sprintf("%s: %.1f MB", w.doing, float64(w.moved)/(1<<20))
	case w.moved >= 1<<10:
		return fmt.Sprintf("%s: %d kB", w.doing, w.moved>>10)
	}
	return w.doing + ": waiting"
}

// now says that something else is being done.
func (w *watch) now(doing string) {
	w.mu.Lock()
	w.doing, w.moved, w.at = doing, 0, time.Now()
	w.mu.Unlock()
	w.say(doing)
}

// pause keeps the watch quiet while somebody types, until the function returned
// is called.
func (w *watch) pause() func() {
	w.mu.Lock()
	w.paused = true
	w.mu.Unlock()
	return func() {
		w.mu.Lock()
		w.paused, w.at = false, time.Now()
		w.mu.Unlock()
	}
}

func (w *watch) move(n int) {
	if n > 0 {
		w.mu.Lock()
		w.moved += int64(n)
		w.at = time.Now()
		w.mu.Unlock()
	}
}

// close ends the watching and whatever still runs under it.
func (w *watch) close() {
	close(w.stop)
	w.cancel(nil)
}

// why is the reason of an error: that the watch cut the connection, if it did.
func (w *watch) why(err error) error {
	if cause := context.Cause(w.ctx); err != nil && cause != nil {
		return cause
	}
	return err
}

// reader and writer count what passes.
func (w *watch) reader(in io.Reader) io.Reader  { return watchedReader{w, in} }
func (w *watch) writer(out io.Writer) io.Writer { return watchedWriter{w, out} }

type watchedReader struct {
	w  *watch
	in io.Reader
}

func (r watchedReader) Read(b []byte) (int, error) {
	n, err := r.in.Read(b)
	r.w.move(n)
	return n, err
}

type watchedWriter struct {
	w   *watch
	out io.Writer
}

func (r watchedWriter) Write(b []byte) (int, error) {
	n, err := r.out.Write(b)
	r.w.move(n)
	return n, err
}
