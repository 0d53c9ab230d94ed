package repo

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/cgi"
	"net/http/httptest"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Real servers on this machine: git's own, behind https and behind sshd.

// bareAt is a place that only keeps versions, as `git init --bare` makes it.
func bareAt(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "keeper", "smock.git")
	require.NoError(t, os.MkdirAll(dir, 0o777))
	git(t, dir, "init", "-q", "--bare", "-b", FirstBranch)
	git(t, dir, "config", "http.receivepack", "true")
	return dir
}

// webServer serves a folder with git's smart protocol over http. guard looks at
// each request first and says whether it may pass.
func webServer(t testing.TB, root string, guard func(http.ResponseWriter, *http.Request) bool) *httptest.Server {
	t.Helper()
	needsGit(t)
	out, err := exec.Command("git", "--exec-path").Output()
	require.NoError(t, err)
	h := &cgi.Handler{
		Path: filepath.Join(strings.TrimSpace(string(out)), "git-http-backend"), Root: "/",
		Env:        []string{"GIT_PROJECT_ROOT=" + root, "GIT_HTTP_EXPORT_ALL=1", "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=" + os.DevNull},
		InheritEnv: []string{"PATH"},
		Stderr:     io.Discard,
	}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		if guard == nil || guard(w, req) {
			h.ServeHTTP(w, req)
		}
	}))
	t.Cleanup(s.Close)
	return s
}

// sshServer runs sshd as this user, with keys made for this one test.
type sshServer struct {
	port     string
	dir      string
	programs Programs
}

func newSSHServer(t testing.TB) *sshServer {
	t.Helper()
	needsGit(t)
	sshd := findProgram(t, "sshd", "/usr/sbin/sshd")
	findProgram(t, "ssh", "/usr/bin/ssh")
	keygen := findProgram(t, "ssh-keygen", "/usr/bin/ssh-keygen")
	if os.Geteuid() == 0 { // then it wants a folder to lock itself into
		require.NoError(t, os.MkdirAll("/run/sshd", 0o755))
	}
	dir := t.TempDir()
	for _, name := range []string{"host", "user", "stranger"} {
		out, err := exec.Command(keygen, "-q", "-t", "ed25519", "-N", "", "-f", filepath.Join(dir, name)).CombinedOutput()
		require.NoError(t, err, string(out))
	}
	public, err := os.ReadFile(filepath.Join(dir, "user.pub"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "authorized"), public, 0o600))
	s := &sshServer{dir: dir, port: freePort(t)}
	config := fmt.Sprintf("Port %s\nListenAddress 127.0.0.1\nHostKey %s/host\nAuthorizedKeysFile %s/authorized\nUsePAM no\nStrictModes no\nPasswordAuthentication no\nPidFile none\nPermitRootLogin yes\n", s.port, dir, dir)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sshd_config"), []byte(config), 0o600))
	var log bytes.Buffer
	cmd := exec.Command(sshd, "-D", "-e", "-f", filepath.Join(dir, "sshd_config"))
	cmd.Stderr = &log
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	require.Eventually(t, func() bool {
		c, err := net.Dial("tcp", "127.0.0.1:"+s.port)
		if err == nil {
			_ = c.Close()
		}
		return err == nil
	}, 10*time.Second, 20*time.Millisecond, "sshd does not answer")
	host, err := os.ReadFile(filepath.Join(dir, "host.pub"))
	require.NoError(t, err)
	known := fmt.Sprintf("[127.0.0.1]:%s %s", s.port, host)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "known"), []byte(known), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "unknown"), nil, 0o600))
	s.programs = s.with("user", "known")
	return s
}

// with is the ssh program with one of the keys and a list of known servers.
func (s *sshServer) with(key, known string) Programs {
	return Programs{Shell: []string{"ssh", "-F", os.DevNull, "-i", filepath.Join(s.dir, key), "-o", "IdentitiesOnly=yes",
		"-o", "IdentityAgent=none", "-o", "UserKnownHostsFile=" + filepath.Join(s.dir, known), "-o", "GlobalKnownHostsFile=" + os.DevNull}}
}

func (s *sshServer) address(t testing.TB, path string) string {
	t.Helper()
	u, err := user.Current()
	require.NoError(t, err)
	return fmt.Sprintf("ssh://%s@127.0.0.1:%s%s", u.Username, s.port, path)
}

func findProgram(t testing.TB, name, usual string) string {
	t.Helper()
	if path, err := exec.LookPath(name); err == nil {
		return path
	}
	if exists(usual) {
		return usual
	}
	if os.Getenv("TOILE_ALL") == "1" {
		t.Fatalf("the program %s is missing, and TOILE_ALL=1 demands it", name)
	}
	t.Skipf("the program %s is missing", name)
	return ""
}

func freePort(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	require.NoError(t, err)
	return port
}

// thereAndBack is what two people do with one server: send, copy, both go on,
// the second is told, merges and sends.
func thereAndBack(t *testing.T, address, bare string, x Exchange) {
	x.Names, x.Agreed = true, true
	r := withVersions(t, 3)
	two, err := r.Resolve("2")
	require.NoError(t, err)
	require.NoError(t, r.Name("as-worn", two))
	s := send(t, r, address, x)
	require.Equal(t, 3, s.Branches[0].Versions)
	fsck(t, bare)
	cloned := filepath.Join(t.TempDir(), "cloned")
	git(t, t.TempDir(), "clone", "-q", bare, cloned)
	assert.Equal(t, onDisk(t, r.Root(), ".git"), onDisk(t, cloned, ".git"))
	assert.Equal(t, two.ID, git(t, cloned, "rev-parse", "as-worn"))
	assert.NotContains(t, git(t, bare, "for-each-ref"), "toile/")
	assert.Equal(t, 0, send(t, r, "", x).Branches[0].Versions, "nothing new")

	c, what := copied(t, address, x)
	assert.Equal(t, 3, what.Versions)
	assert.Equal(t, []string{"as-worn"}, what.Names)
	assert.Empty(t, git(t, c.Root(), "status", "--porcelain"))
	commit(t, c, 4, smock(4))
	assert.Equal(t, 1, send(t, c, "", x).Branches[0].Versions)
	got := receive(t, r, "", x)
	assert.Equal(t, BranchAdvanced, got.Branches[0].State)
	assert.Equal(t, string(smock(4)["pieces/back.yaml"]), get(t, r, "pieces/back.yaml"))

	commit(t, r, 5, smock(5))
	send(t, r, "", x)
	commit(t, c, 6, smock(6))
	before := git(t, bare, "for-each-ref")
	_, err = c.Send(context.Background(), placeOf(t, c, ""), x)
	var first *SentFirstError
	require.ErrorAs(t, err, &first)
	assert.Equal(t, before, git(t, bare, "for-each-ref"))
	there, err := c.Resolve(first.Place.Name + "/working")
	require.NoError(t, err)
	assert.Equal(t, "change 5", there.Text)
	_, err = c.Commit(smock(7), CommitOptions{Text: "merged", Author: someone, Time: at(7), Merges: []string{there.ID}})
	require.NoError(t, err)
	assert.Equal(t, 2, send(t, c, "", x).Branches[0].Versions)
	assert.Equal(t, BranchAdvanced, receive(t, r, "", x).Branches[0].State)
	for _, dir := range []string{bare, r.Root(), c.Root()} {
		fsck(t, dir)
	}
	noLeftovers(t, r)
	noLeftovers(t, c)
}

func TestShareOverTheWeb(t *testing.T) {
	needsGit(t)
	bare := bareAt(t)
	s := webServer(t, filepath.Dir(bare), nil)
	thereAndBack(t, s.URL+"/smock.git", bare, Exchange{})
}

func TestShareOverSSH(t *testing.T) {
	s := newSSHServer(t)
	bare := bareAt(t)
	thereAndBack(t, s.address(t, bare), bare, Exchange{Programs: s.programs})
}

// What is wrong with a key, a server or a path is said with the next step, and
// nothing waits for somebody to type.
func TestSSHTroubleSaysWhatToDo(t *testing.T) {
	s := newSSHServer(t)
	bare := bareAt(t)
	r := withVersions(t, 1)
	for _, c := range []struct {
		key, known, path, says string
	}{
		{"stranger", "known", bare, "ssh-add"},
		{"user", "unknown", bare, "is not known to this account yet; connect once by hand with `ssh 127.0.0.1`"},
		{"user", "known", bare + "-none", "there is no pattern at that path"},
		{"user", "known", "/it's $(touch " + filepath.Join(s.dir, "ran") + ")", "there is no pattern at that path"},
	} {
		a, err := ParseAddress(s.address(t, "/x"))
		require.NoError(t, err)
		a.path = c.path
		_, err = r.Send(context.Background(), Place{Name: "there", Address: a}, Exchange{Agreed: true, Programs: s.with(c.key, c.known)})
		assert.ErrorContains(t, err, c.says)
	}
	assert.NoFileExists(t, filepath.Join(s.dir, "ran"))
	a, err := ParseAddress("ssh://127.0.0.1:" + freePort(t) + "/x")
	require.NoError(t, err)
	_, err = r.Receive(context.Background(), Place{Name: "there", Address: a}, Exchange{Programs: s.programs})
	assert.ErrorContains(t, err, "nothing answers")
	_, err = r.Receive(context.Background(), Place{Name: "there", Address: a}, Exchange{Programs: Programs{Shell: []string{"no-such-ssh"}}})
	assert.ErrorContains(t, err, "the ssh program is missing")
	assert.Empty(t, r.Places())
}

// The sign-in comes from git's store of passwords, is told to it whether it was
// right, and shows up nowhere else.
func TestSignIn(t *testing.T) {
	needsGit(t)
	const secret = "Linen&Thread"
	bare := bareAt(t)
	s := webServer(t, filepath.Dir(bare), func(w http.ResponseWriter, req *http.Request) bool {
		name, password, ok := req.BasicAuth()
		if ok && name == "ines" && password == secret {
			return true
		}
		w.Header().Set("WWW-Authenticate", `Basic realm="x"`)
		http.Error(w, "you sent "+password, http.StatusUnauthorized)
		return false
	})
	stored := filepath.Join(t.TempDir(), "stored")
	global := filepath.Join(t.TempDir(), "config")
	require.NoError(t, os.WriteFile(global, nil, 0o600))
	t.Setenv("GIT_CONFIG_GLOBAL", global)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	t.Setenv("GIT_TERMINAL_PROMPT", "0")
	t.Setenv("GIT_ASKPASS", "")
	t.Setenv("SSH_ASKPASS", "")
	r := withVersions(t, 1)
	ran := filepath.Join(t.TempDir(), "ran")
	git(t, r.Root(), "config", "credential.helper", "!touch "+ran)
	git(t, r.Root(), "config", "core.askPass", "touch "+ran)
	_, err := r.Send(context.Background(), placeOf(t, r, s.URL+"/smock.git"), agreed)
	require.ErrorContains(t, err, "git has none stored")
	require.NoFileExists(t, ran, "a program that the pattern's own configuration names")
	require.NoError(t, os.WriteFile(global, []byte("[credential]\n\thelper = store --file="+stored+"\n"), 0o600))

	_, host, _ := strings.Cut(s.URL, "//")
	right := "http://ines:Linen%26Thread@" + host + "\n"
	require.NoError(t, os.WriteFile(stored, []byte(strings.Replace(right, "Linen", "Wool", 1)), 0o600))
	_, err = r.Send(context.Background(), placeOf(t, r, s.URL+"/smock.git"), agreed)
	require.ErrorContains(t, err, "did not take the sign-in")
	require.NotContains(t, err.Error(), "Thread")
	left, err := os.ReadFile(stored)
	require.NoError(t, err)
	require.Empty(t, strings.TrimSpace(string(left)), "what was wrong is forgotten")

	require.NoError(t, os.WriteFile(stored, []byte(right), 0o600))
	var said strings.Builder
	x := agreed
	x.Say = func(text string) { said.WriteString(text) }
	send(t, r, s.URL+"/smock.git", x)
	assert.NotContains(t, said.String(), secret)
	for name, content := range onDisk(t, r.Root()) {
		assert.NotContains(t, content, secret, name)
	}
	left, err = os.ReadFile(stored)
	require.NoError(t, err)
	assert.Contains(t, string(left), "ines:Linen%26Thread@127.0.0.1")
}

// Servers that say nothing, at any point, are given up in time.
func TestSilentServersAreGivenUp(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	hold := make(chan struct{})
	var once sync.Once
	t.Cleanup(func() { once.Do(func() { close(hold) }) })
	silent := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		if strings.HasSuffix(req.URL.Path, "/late"+infoRefs) {
			w.Header().Set("Content-Type", "application/x-git-upload-pack-advertisement")
			_, _ = io.WriteString(w, packetOf("# service=git-upload-pack\n")+groupEnd)
			w.(http.Flusher).Flush()
		}
		<-hold
	}))
	t.Cleanup(func() { once.Do(func() { close(hold) }); silent.Close() })
	deaf, err := net.Listen("tcp", "127.0.0.1:0") // takes connections and never answers
	require.NoError(t, err)
	t.Cleanup(func() { _ = deaf.Close() })
	x := Exchange{silence: 300 * time.Millisecond, Agreed: true}
	var said []string
	x.Say = func(text string) { said = append(said, text) }
	for _, text := range []string{silent.URL + "/early", silent.URL + "/late", "http://" + deaf.Addr().String() + "/x", "ssh://" + deaf.Addr().String() + "/x"} {
		begun := time.Now()
		_, err := r.Receive(context.Background(), placeOf(t, r, text), x)
		require.ErrorIs(t, err, ErrSilent, text)
		_, err = r.Send(context.Background(), placeOf(t, r, text), x)
		if !strings.HasSuffix(text, "late") {
			require.ErrorIs(t, err, ErrSilent, text)
		}
		require.Less(t, time.Since(begun), 20*time.Second, text)
	}
	assert.NotEmpty(t, said)
	assert.Empty(t, r.Places())
}

// What a server says never reaches the terminal as it is, and one that is no git
// server is told from one.
func TestOddServers(t *testing.T) {
	r := withVersions(t, 1)
	answer := func(kind, text string) http.HandlerFunc {
		return func(w http.ResponseWriter, req *http.Request) {
			w.Header().Set("Content-Type", "application/x-"+kind+"-advertisement")
			_, _ = io.WriteString(w, text)
		}
	}
	one := strings.Repeat("1", 40)
	endless := strings.Repeat(packetOf(one+" refs/heads/x\n"), 30_000)
	for name, c := range map[string]struct {
		h    http.HandlerFunc
		says string
	}{
		"page":    {func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "<html>") }, "holds no pattern at that address"},
		"none":    {http.NotFound, "has no pattern at that address"},
		"broken":  {func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "\x1b]0;x\a", 500) }, "status 500"},
		"escapes": {answer(serviceGive, packetOf("# service=x\n")+groupEnd+packetOf("ERR \x1b[31mred\x1b]52;c;x\a\n")), "the server says: ␛[31mred"},
		"rubbish": {answer(serviceGive, "zzzz\x1b"), "not one of a git server"},
		"sha256":  {answer(serviceGive, packetOf(one+" refs/heads/x\x00side-band-64k object-format=sha256")+groupEnd), "named by sha256"},
		"shallow": {answer(serviceGive, packetOf("shallow "+one)+groupEnd), "shallow"},
		"cut":     {answer(serviceGive, packetOf(one+" refs/heads/x")), "could not be listed"},
		"empty":   {answer(serviceGive, packetOf(strings.Repeat("0", 40)+" capabilities^{}\x00side-band-64k")+groupEnd), "holds no versions yet"},
		"endless": {answer(serviceGive, endless), "refused"},
		"old":     {answer(serviceGive, packetOf(one+" refs/heads/x\x00")+groupEnd), "too old"},
		"elsewhere": {func(w http.ResponseWriter, req *http.Request) {
			http.Redirect(w, req, "http://elsewhere.example/x", http.StatusMovedPermanently)
		}, "sends on to elsewhere.example"},
	} {
		t.Run(name, func(t *testing.T) {
			s := httptest.NewServer(c.h)
			defer s.Close()
			_, err := r.Receive(context.Background(), placeOf(t, r, s.URL+"/x"), Exchange{})
			require.ErrorContains(t, err, c.says)
			require.NotContains(t, err.Error(), "\x1b")
			require.NotContains(t, err.Error(), "\a")
			require.Empty(t, r.Places())
		})
	}
}

// Certificates are looked at.
func TestUnknownCertificateIsRefused(t *testing.T) {
	r := withVersions(t, 1)
	s := httptest.NewUnstartedServer(http.NotFoundHandler())
	s.Config.ErrorLog = log.New(io.Discard, "", 0)
	s.StartTLS()
	defer s.Close()
	_, err := r.Receive(context.Background(), placeOf(t, r, s.URL+"/x"), Exchange{})
	var bad *tls.CertificateVerificationError
	require.True(t, errors.As(err, &bad), "%v", err)
}

// A server that refuses one branch is heard, and a place where somebody works is
// explained.
func TestServersThatRefuse(t *testing.T) {
	needsGit(t)
	bare := bareAt(t)
	s := webServer(t, filepath.Dir(bare), nil)
	r := withVersions(t, 1)
	hook := filepath.Join(bare, "hooks", "pre-receive")
	require.NoError(t, os.WriteFile(hook, []byte("#!/bin/sh\nprintf 'no \\033[31mpatterns\\n' >&2\nexit 1\n"), 0o777))
	_, err := r.Send(context.Background(), placeOf(t, r, s.URL+"/smock.git"), agreed)
	require.ErrorContains(t, err, "was not taken: the server says: pre-receive hook declined (no ␛[31mpatterns)")
	require.NotContains(t, err.Error(), "\x1b")
	last, err := r.Last()
	require.NoError(t, err)
	sent, err := r.Sent(*last)
	require.NoError(t, err)
	require.False(t, sent, "what the server refused as a whole does not count as sent")
	require.NoError(t, os.Remove(hook))
	git(t, bare, "config", "core.bare", "false")
	_, err = r.Send(context.Background(), placeOf(t, r, s.URL+"/smock.git"), agreed)
	require.ErrorContains(t, err, "a folder that somebody works in")
	require.Empty(t, r.Places())
}
