package repo

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
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

// webWire speaks git's smart protocol over https.
type webWire struct {
	watch    *watch
	address  Address
	service  string
	programs Programs
	base     *url.URL
	client   *http.Client
	signIn   *signIn
	bodies   []io.Closer
}

// webClient follows the server to another path, never to another server.
func webClient(base *url.URL) *http.Client {
	return &http.Client{
		Transport: webTransport(),
		CheckRedirect: func(req *http.Request, via []*http.Request) error {
			if req.URL.Host != base.Host || req.URL.Scheme != base.Scheme {
				return fmt.Errorf("%s sends on to %s; if that is right, use its address", Printable(base.Host), Printable(req.URL.Host))
			}
			if len(via) > 5 || req.Method != http.MethodGet {
				return errors.New("the server sends on and on")
			}
			return nil
		},
	}
}

func webTransport() http.RoundTripper {
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.DisableCompression = true // what unpacks in the library cannot be bounded by what came
	t.MaxResponseHeaderBytes = 64 << 10
	return t
}

const infoRefs = "/info/refs"

func (h *webWire) listing() (*listing, error) {
	res, err := h.get()
	if err != nil {
		return nil, err
	}
	if want := "application/x-" + h.service + "-advertisement"; res.Header.Get("Content-Type") != want {
		return nil, fmt.Errorf("%s holds no pattern at that address: it is not a git server, or one that is too old", h.address.where())
	}
	// Where the server sent on to another path, the rest is asked there too.
	if at, ok := strings.CutSuffix(res.Request.URL.Path, infoRefs); ok {
		moved := *h.base
		moved.Path, moved.RawPath = at, ""
		h.base = &moved
	}
	return readListing(h.watch.reader(res.Body))
}

// get asks for the listing, with a sign-in where the server wants one: once with
// what is stored or typed.
func (h *webWire) get() (*http.Response, error) {
	for {
		u := *h.base
		u.User, u.Path, u.RawQuery = nil, u.Path+infoRefs, "service="+h.service
		req, err := http.NewRequestWithContext(h.watch.ctx, http.MethodGet, u.String(), nil)
		if err != nil {
			return nil, err
		}
		res, err := h.do(req)
		if err != nil {
			return nil, err
		}
		if res.StatusCode != http.StatusUnauthorized {
			return res, h.judge(res)
		}
		if h.signIn != nil {
			h.signIn.refused()
			return nil, fmt.Errorf("%s did not take the sign-in; it was forgotten again: try once more, or ask whoever keeps the server", h.address.where())
		}
		done := h.watch.pause()
		h.signIn, err = askSignIn(h.watch.ctx, h.programs, h.base, h.address.user)
		done()
		if err != nil {
			return nil, err
		}
	}
}

func (h *webWire) do(req *http.Request) (*http.Response, error) {
	req.Header.Set("User-Agent", "git/toile")
	if h.signIn != nil {
		req.Header.Set("Authorization", "Basic "+base64.StdEncoding.EncodeToString([]byte(h.signIn.name+":"+h.signIn.secret)))
	}
	res, err := h.client.Do(req)
	if err != nil {
		if e := (*url.Error)(nil); errors.As(err, &e) {
			err = e.Err // without the address, which is in the sentence
		}
		return nil, fmt.Errorf("%s cannot be reached: %w", h.address.where(), h.watch.why(err))
	}
	h.bodies = append(h.bodies, res.Body)
	return res, nil
}

// judge says what a server's status means.
func (h *webWire) judge(res *http.Response) error {
	switch res.StatusCode {
	case http.StatusOK:
		if h.signIn != nil {
			h.signIn.accepted()
		}
		return nil
	case http.StatusNotFound:
		return fmt.Errorf("%s has no pattern at that address, or does not show it to you; look at the address", h.address.where())
	case http.StatusForbidden, http.StatusUnauthorized:
		return fmt.Errorf("%s does not allow that to you; ask whoever keeps the server", h.address.where())
	}
	return fmt.Errorf("%s answers with status %d; try again later, or ask whoever keeps the server", h.address.where(), res.StatusCode)
}

func (h *webWire) ask(request io.Reader, size int64) (io.Reader, error) {
	u := *h.base
	u.User, u.Path = nil, u.Path+"/"+h.service
	body := h.watch.reader(request)
	req, err := http.NewRequestWithContext(h.watch.ctx, http.MethodPost, u.String(), io.NopCloser(body))
	if err != nil {
		return nil, err
	}
	req.ContentLength = size
	req.Header.Set("Content-Type", "application/x-"+h.service+"-request")
	req.Header.Set("Accept", "application/x-"+h.service+"-result")
	res, err := h.do(req)
	if err != nil {
		return nil, err
	}
	return h.watch.reader(res.Body), h.judge(res)
}

func (h *webWire) close(failed error) error {
	for _, b := range h.bodies {
		_ = b.Close()
	}
	h.client.CloseIdleConnections()
	return h.watch.why(failed)
}

// signIn is a name and a secret for one server, in memory alone.
type signIn struct {
	programs     Programs
	question     string
	name, secret string
}

// signInPatience is how long somebody may take to type.
const signInPatience = 2 * time.Minute

// askSignIn asks the git program, which asks the stores of passwords that the
// account has, or on the terminal.
func askSignIn(ctx context.Context, programs Programs, base *url.URL, user string) (*signIn, error) {
	s := &signIn{programs: programs}
	if s.programs.Git == "" {
		s.programs.Git = "git"
	}
	s.question = fmt.Sprintf("protocol=%s\nhost=%s\npath=%s\n", base.Scheme, base.Host, strings.TrimPrefix(base.Path, "/"))
	if user != "" {
		s.question += "username=" + user + "\n"
	}
	ctx, cancel := context.WithTimeout(ctx, signInPatience)
	defer cancel()
	out, err := s.credential(ctx, "fill", s.question)
	if errors.Is(err, exec.ErrNotFound) {
		return nil, fmt.Errorf("%s wants a sign-in; install git and let it store one, or use an address with ssh", Printable(base.Host))
	}
	for line := range strings.Lines(out) {
		key, value, _ := strings.Cut(strings.TrimRight(line, "\r\n"), "=")
		switch key {
		case "username":
			s.name = value
		case "password":
			s.secret = value
		}
	}
	if err != nil || s.secret == "" {
		return nil, fmt.Errorf("%s wants a sign-in, and git has none stored; set up git's store of passwords (git help credentials), or use an address with ssh", Printable(base.Host))
	}
	return s, nil
}

func (s *signIn) credential(ctx context.Context, what, text string) (string, error) {
	cmd := exec.CommandContext(ctx, s.programs.Git, "credential", what)
	cmd.Dir = s.programs.Dir
	cmd.WaitDelay = time.Second
	cmd.Stdin = strings.NewReader(text + "\n")
	cmd.Stderr = io.Discard // a helper may repeat what it was given
	var out bytes.Buffer
	cmd.Stdout = &out
	err := cmd.Run()
	return out.String(), err
}

// accepted and refused tell the store of passwords; that it cannot be told is no
// reason to fail.
func (s *signIn) accepted() { s.tell("approve") }
func (s *signIn) refused()  { s.tell("reject") }

func (s *signIn) tell(what string) {
	if s.question == "" {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	text := fmt.Sprintf("%susername=%s\npassword=%s\n", s.withoutUser(), s.name, s.secret)
	_, _ = s.credential(ctx, what, text)
	if what == "approve" {
		s.question = "" // once is enough
	}
}

func (s *signIn) withoutUser() string {
	head, _, _ := strings.Cut(s.question, "username=")
	return head
}

// cancelSoon gives a program that failed a moment to say why, then ends it.
func (w *watch) cancelSoon() { time.AfterFunc(2*time.Second, func() { w.cancel(nil) }) }

