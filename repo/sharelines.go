package repo

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// What git servers and clients say to each other (gitprotocol-pack,
// gitprotocol-common): lines with their length in front, four hexadecimal
// digits that count themselves; 0000 ends a group.

const maxPacket = 65520

// packet reads one line; end is true for the end of a group.
func packet(in io.Reader) (text []byte, end bool, err error) {
	var head [4]byte
	if _, err := io.ReadFull(in, head[:]); err != nil {
		return nil, false, err
	}
	n, err := strconv.ParseUint(string(head[:]), 16, 16)
	if err != nil || n > maxPacket || n > 0 && n < 4 {
		return nil, false, fmt.Errorf("the answer is not one of a git server (%q)", Printable(string(head[:])))
	}
	if n == 0 {
		return nil, true, nil
	}
	text = make([]byte, n-4)
	_, err = io.ReadFull(in, text)
	return text, false, err
}

const groupEnd = "0000"

func packetOf(text string) string { return fmt.Sprintf("%04x%s", len(text)+4, text) }

// listing is what a server offers.
type listing struct {
	refs map[string]plumbing.Hash
	can  []string // its abilities
}

func (l *listing) able(what string) bool { return slices.Contains(l.can, what) }

// value is what follows an ability's equals sign.
func (l *listing) value(what string) string {
	for _, c := range l.can {
		if v, ok := strings.CutPrefix(c, what+"="); ok {
			return v
		}
	}
	return ""
}

// headBranch is the branch that the place itself is on, if it says so.
func (l *listing) headBranch() string {
	for _, c := range l.can {
		if b, ok := strings.CutPrefix(c, "symref=HEAD:"+headsPrefix); ok {
			return b
		}
	}
	return ""
}

// readListing reads what a server says first. Over https a line that names the
// service and the end of a group come before it.
func readListing(in io.Reader) (*listing, error) {
	limited := &io.LimitedReader{R: in, N: maxListing}
	l := &listing{refs: map[string]plumbing.Hash{}}
	for first := true; ; {
		text, end, err := packet(limited)
		if err != nil && limited.N <= 0 {
			return nil, refuse("its list of branches and names is longer than %d kB", maxListing>>10)
		}
		if err != nil {
			return nil, fmt.Errorf("what is there could not be listed: %w", unexpected(err))
		}
		line := strings.TrimSuffix(string(text), "\n")
		switch {
		case end && first && len(l.can) == 1 && l.can[0] == "# service":
			l.can = nil
			continue
		case end:
			return l, l.check()
		case strings.HasPrefix(line, "# service="):
			l.can = []string{"# service"}
			continue
		case strings.HasPrefix(line, "ERR "):
			return nil, serverSays(line[4:])
		case strings.HasPrefix(line, "version "):
			continue
		case strings.HasPrefix(line, "shallow "):
			return nil, refuse("only its newest versions are there (a shallow copy)")
		}
		if first {
			name, abilities, _ := strings.Cut(line, "\x00")
			line, l.can, first = name, strings.Fields(abilities), false
		}
		if err := l.add(line); err != nil {
			return nil, err
		}
	}
}

func unexpected(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}

func (l *listing) check() error {
	if format := l.value("object-format"); format != "" && format != "sha1" {
		return refuse("its versions are named by %s instead of sha1", format)
	}
	return nil
}

func (l *listing) add(line string) error {
	text, name, ok := strings.Cut(line, " ")
	id, err := parseID([]byte(text))
	if !ok || err != nil {
		return fmt.Errorf("the answer is not one of a git server (%q)", Printable(line[:min(len(line), 60)]))
	}
	if strings.HasSuffix(name, "^{}") || id.IsZero() {
		return nil // what a name leads to; and the line of a place that holds nothing
	}
	if len(l.refs) >= maxShareRefs {
		return refuse("it lists more than %d branches and names", maxShareRefs)
	}
	l.refs[name] = id
	return nil
}

// serverSays passes on what a server says, made fit to be shown.
func serverSays(text string) error {
	line := strings.TrimSpace(Printable(text))
	const most = 300
	if r := []rune(line); len(r) > most {
		line = string(r[:most]) + "…"
	}
	return fmt.Errorf("the server says: %s", strings.ReplaceAll(line, "\n", " "))
}

// bands takes apart what a server sends: 1 is the answer itself, 2 what it says
// meanwhile, 3 an error that ends it.
type bands struct {
	in   io.Reader
	rest []byte
	end  bool
	said []byte // the last words of band 2
}

func (b *bands) Read(out []byte) (int, error) {
	for len(b.rest) == 0 {
		if b.end {
			return 0, io.EOF
		}
		text, end, err := packet(b.in)
		switch {
		case err != nil:
			return 0, unexpected(err)
		case end:
			b.end = true
		case len(text) == 0:
		case text[0] == 1:
			b.rest = text[1:]
		case text[0] == 2:
			b.said = append(b.said, text[1:]...)
			b.said = b.said[max(0, len(b.said)-maxLastWords):]
		case text[0] == 3:
			return 0, serverSays(string(text[1:]))
		default:
			if e, ok := bytes.CutPrefix(text, []byte("ERR ")); ok {
				return 0, serverSays(string(e))
			}
			return 0, errors.New("the answer is not one of a git server")
		}
	}
	n := copy(out, b.rest)
	b.rest = b.rest[n:]
	return n, nil
}

// maxLastWords is how much of what a server says beside its answer is remembered.
const maxLastWords = 1024

// lastWords are the last lines that a server said beside its answer, as one.
func (b *bands) lastWords() string {
	const most = 3
	var lines []string
	for _, line := range strings.FieldsFunc(string(b.said), func(c rune) bool { return c == '\n' || c == '\r' }) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines[max(0, len(lines)-most):], " / ")
}

const agent = "agent=toile"

// fetchRequest asks for versions, and says which are here already.
func fetchRequest(l *listing, want, have []plumbing.Hash) (string, error) {
	if !l.able("side-band-64k") {
		return "", errors.New("the server is too old: it cannot send answers and notices apart (side-band-64k)")
	}
	abilities := " side-band-64k " + agent
	if l.able("ofs-delta") {
		abilities += " ofs-delta"
	}
	if l.value("object-format") != "" {
		abilities += " object-format=sha1"
	}
	var b strings.Builder
	for _, id := range want {
		b.WriteString(packetOf("want " + id.String() + abilities + "\n"))
		abilities = ""
	}
	b.WriteString(groupEnd)
	for _, id := range have {
		b.WriteString(packetOf("have " + id.String() + "\n"))
	}
	b.WriteString(packetOf("done\n"))
	return b.String(), nil
}

// fetchAnswer passes over what the server knows in common and returns the pack.
func fetchAnswer(in io.Reader) (io.Reader, error) {
	for {
		text, end, err := packet(in)
		switch {
		case err != nil:
			return nil, unexpected(err)
		case end:
		case bytes.HasPrefix(text, []byte("ACK ")), bytes.Equal(text, []byte("NAK\n")), bytes.Equal(text, []byte("NAK")):
		case bytes.HasPrefix(text, []byte("ERR ")):
			return nil, serverSays(string(text[4:]))
		default:
			return &bands{in: io.MultiReader(strings.NewReader(packetOf(string(text))), in)}, nil
		}
	}
}

// move is one branch or name that is to be moved at a place.
type refMove struct {
	ref      string
	old, new plumbing.Hash
}

// sendRequest is what comes before the pack when something is sent.
func sendRequest(l *listing, moves []refMove) (string, error) {
	if !l.able("report-status") {
		return "", errors.New("the server is too old: it cannot say whether it took what was sent (report-status)")
	}
	abilities := "\x00 report-status " + agent
	if l.able("side-band-64k") {
		abilities += " side-band-64k"
	}
	if l.able("atomic") && len(moves) > 1 { // alone it would only hide the reason
		abilities += " atomic"
	}
	if l.value("object-format") != "" {
		abilities += " object-format=sha1"
	}
	var b strings.Builder
	for _, m := range moves {
		b.WriteString(packetOf(fmt.Sprintf("%s %s %s%s", m.old, m.new, m.ref, abilities)))
		abilities = ""
	}
	b.WriteString(groupEnd)
	return b.String(), nil
}

// notTaken is a server's word that it did not move a branch or name, and what
// it said beside that.
type notTaken struct{ ref, reason, said string }

// why is all that the server said.
func (n notTaken) why() error {
	if n.said == "" {
		return serverSays(n.reason)
	}
	return serverSays(n.reason + " (" + n.said + ")")
}

// sendAnswer reads what the server did. The error is for the whole; notTaken
// lists single refusals.
func sendAnswer(l *listing, in io.Reader) ([]notTaken, error) {
	said := func() string { return "" }
	if l.able("side-band-64k") {
		b := &bands{in: in}
		in, said = b, b.lastWords
	}
	in = io.LimitReader(in, maxListing)
	var not []notTaken
	unpacked := false
	for {
		text, end, err := packet(in)
		if err != nil || end {
			if !unpacked {
				if err == nil {
					err = io.EOF
				}
				return nil, fmt.Errorf("the server did not say whether it took what was sent: %w", unexpected(err))
			}
			for i := range not {
				not[i].said = said()
			}
			return not, nil
		}
		line := strings.TrimSuffix(string(text), "\n")
		switch {
		case line == "unpack ok":
			unpacked = true
		case strings.HasPrefix(line, "unpack "):
			return nil, notTaken{reason: "it could not unpack what was sent: " + line[len("unpack "):], said: said()}.why()
		case strings.HasPrefix(line, "ng "):
			ref, reason, _ := strings.Cut(line[3:], " ")
			not = append(not, notTaken{ref: ref, reason: reason})
		}
	}
}
