package repo

import (
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"sync"
	"time"
)

// The two things that a git server does.
const (
	serviceGive = "git-upload-pack"  // it gives versions
	serviceTake = "git-receive-pack" // it takes them
)

// wire is a connection to one service of a server.
type wire interface {
	// listing is what the service says first.
	listing() (*listing, error)
	// ask sends a request of size bytes and returns the answer.
	ask(request io.Reader, size int64) (io.Reader, error)
	// close ends it; failed, if not nil, is what went wrong, and may be put
	// into better words.
	close(failed error) error
}

// Programs are other programs that an exchange may use.
type Programs struct {
	// Shell is the ssh program with its first arguments; {"ssh"} if empty.
	Shell []string
	// Git is asked for the sign-in to a server; "git" if empty.
	Git string
	// Dir is the folder they run in.
	Dir string
}

func (r *Repo) dial(w *watch, a Address, service string, programs Programs) (wire, error) {
	if programs.Dir == "" {
		programs.Dir = r.root
	}
	if a.way == byWeb {
		return &webWire{watch: w, address: a, service: service, programs: programs, base: a.url, client: webClient(a.url)}, nil
	}
	return newShellWire(w, a, service, programs)
}

// shellWire runs the ssh program, so that keys, the agent, known hosts and the
// account's own settings count as they do for it.
type shellWire struct {
	watch *watch
	host  string
	cmd   *exec.Cmd
	in    io.WriteCloser
	out   io.Reader
	errs  *tailBuffer
	sent  sync.WaitGroup
}

func newShellWire(w *watch, a Address, service string, programs Programs) (*shellWire, error) {
	program := programs.Shell
	if len(program) == 0 {
		program = []string{"ssh"}
	}
	// Nothing is asked on the terminal: an unknown server or a locked key is an
	// error that says what to do.
	args := append([]string{}, program[1:]...)
	args = append(args, "-o", "BatchMode=yes", "-o", "StrictHostKeyChecking=yes", "-o", "ConnectTimeout=20", "-T")
	if a.port != "" {
		args = append(args, "-p", a.port)
	}
	if a.user != "" {
		args = append(args, "-l", a.user)
	}
	args = append(args, "--", a.host, service+" "+shellQuote(a.path))
	s := &shellWire{watch: w, host: a.host, errs: &tailBuffer{most: 4096}}
	s.cmd = exec.CommandContext(w.ctx, program[0], args...)
	s.cmd.Dir = programs.Dir
	s.cmd.WaitDelay = time.Second // a helper of ssh must not hold us
	s.cmd.Stderr = s.errs
	var err error
	if s.in, err = s.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	s.out = w.reader(out)
	if err := s.cmd.Start(); err != nil {
		if errors.Is(err, exec.ErrNotFound) {
			return nil, fmt.Errorf("the ssh program is missing; install it, or use an https address")
		}
		return nil, err
	}
	return s, nil
}

// shellQuote is one word for a shell, as git quotes it.
func shellQuote(s string) string {
	return "'" + strings.NewReplacer("'", `'\''`, "!", `'\!'`).Replace(s) + "'"
}

func (s *shellWire) listing() (*listing, error) { return readListing(s.out) }

func (s *shellWire) ask(request io.Reader, _ int64) (io.Reader, error) {
	s.sent.Go(func() {
		_, err := io.Copy(s.watch.writer(s.in), request)
		if err == nil {
			err = s.in.Close()
		}
		_ = err // the answer, or its absence, tells
	})
	return s.out, nil
}

func (s *shellWire) close(failed error) error {
	if failed != nil {
		s.watch.cancelSoon()
	} else {
		_, _ = s.in.Write([]byte(groupEnd)) // a polite end where nothing was asked
	}
	_ = s.in.Close()
	s.sent.Wait()
	_ = s.cmd.Wait() // what it printed says more than its exit code
	if failed == nil {
		return nil
	}
	if err := s.watch.why(failed); errors.Is(err, ErrSilent) {
		return err
	}
	if !errors.Is(failed, io.ErrUnexpectedEOF) && !errors.Is(failed, io.EOF) {
		return failed // not the connection's fault
	}
	return shellTrouble(s.host, s.errs.String(), failed)
}

// shellTrouble says what the ssh program's words mean and what to do.
func shellTrouble(host, said string, failed error) error {
	for _, t := range []struct{ sign, says string }{
		{"REMOTE HOST IDENTIFICATION HAS CHANGED", "the server %[1]s shows another key than the one this account knows; somebody may stand between: ask whoever keeps the server before you do anything"},
		{"Host key verification failed", "the server %[1]s is not known to this account yet; connect once by hand with `ssh %[1]s`, compare the key it shows with the one its keeper publishes, answer yes only if they agree, then try again"},
		{"Too many authentication failures", "%[1]s refused after too many keys were offered; name the right one in the file config of ssh (Host %[1]s, IdentityFile, IdentitiesOnly yes)"},
		{"Permission denied", "%[1]s does not let this account in; put the key into the agent with `ssh-add`, and see that %[1]s knows its public half and that the name before the @ is right"},
		{"Could not resolve hostname", "there is no server %[1]s, or the network is away; look at the address"},
		{"Connection refused", "nothing answers at %[1]s; look at the address, or ask whoever keeps the server"},
		{"Connection timed out", "%[1]s does not answer; see whether the connection stands, and try again"},
		{"does not appear to be a git repository", "there is no pattern at that path on %[1]s; look at the address"},
		{"command not found", "%[1]s has no git; it needs one to keep patterns"},
	} {
		if strings.Contains(said, t.sign) {
			return fmt.Errorf(t.says, Printable(host))
		}
	}
	if line := strings.TrimSpace(said); line != "" {
		return fmt.Errorf("%s: %w", Printable(host), serverSays(line))
	}
	return fmt.Errorf("%s: %w", Printable(host), failed)
}

// tailBuffer keeps the last bytes written to it.
type tailBuffer struct {
	mu   sync.Mutex
	b    []byte
	most int
}

func (t *tailBuffer) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.b = append(t.b, b[max(0, len(b)-t.most):]...)
	if n := len(t.b) - t.most; n > 0 {
		t.b = append(t.b[:0], t.b[n:]...)
	}
	return len(b), nil
}

func (t *tailBuffer) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.b)
}

// cancelSoon gives a program that failed a moment to say why, then ends it.
func (w *watch) cancelSoon() { time.AfterFunc(2*time.Second, func() { w.cancel(nil) }) }
