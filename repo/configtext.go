package repo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/config"
)

// configText is git's configuration as lines, so that what is not touched stays
// as somebody wrote it (git-config, "Syntax").
type configText struct {
	lines []configLine
	odd   bool // something was asked of a section that is not there
}

// configLine is one line with those that it goes on in.
type configLine struct {
	text         string // with its line end
	section, sub string // where it stands; sections are small letters
	head         bool   // it begins a section, and says no more: Open reads no other
	key, value   string // small letters; the value without quotes and comments
}

func parseConfigText(content []byte) *configText {
	c := &configText{}
	section, sub := "", ""
	for rest := string(content); rest != ""; {
		end := 0
		for { // a backslash before the line's end goes on in the next
			n := strings.IndexByte(rest[end:], '\n')
			if n < 0 {
				end = len(rest)
				break
			}
			end += n + 1
			if body := strings.TrimSuffix(strings.TrimSuffix(rest[:end], "\n"), "\r"); !continues(body) {
				break
			}
		}
		l := configLine{text: rest[:end]}
		rest = rest[end:]
		line := strings.TrimSpace(l.text)
		if strings.HasPrefix(line, "[") {
			section, sub, line = sectionHead(line)
			l.head = true
		}
		l.section, l.sub = section, sub
		if line != "" && line[0] != '#' && line[0] != ';' {
			l.key, l.value = keyValue(line)
		}
		c.lines = append(c.lines, l)
	}
	return c
}

// continues tells whether a line ends in an odd number of backslashes.
func continues(line string) bool {
	return (len(line)-len(strings.TrimRight(line, `\`)))%2 == 1
}

// sectionHead reads [section "sub"] and returns what follows on the line.
func sectionHead(line string) (section, sub, rest string) {
	i, quoted := 1, false
	var b strings.Builder
	for ; i < len(line); i++ {
		switch ch := line[i]; {
		case ch == '\\' && quoted && i+1 < len(line):
			i++
			b.WriteByte(line[i])
		case ch == '"' && !quoted:
			section, quoted = strings.TrimSpace(b.String()), true
			b.Reset()
		case ch == '"':
			sub, quoted = b.String(), false
			b.Reset()
		case ch == ']' && !quoted:
			if section == "" {
				section = strings.TrimSpace(b.String())
			}
			return strings.ToLower(section), sub, strings.TrimSpace(line[i+1:])
		default:
			b.WriteByte(ch)
		}
	}
	return "", "", ""
}

func keyValue(line string) (key, value string) {
	key, value, _ = strings.Cut(line, "=")
	value = strings.TrimSpace(value)
	if i := strings.IndexAny(value, "#;"); i >= 0 && !strings.Contains(value, `"`) {
		value = strings.TrimSpace(value[:i])
	}
	return strings.ToLower(strings.TrimSpace(key)), strings.Trim(value, `"`)
}

// edit replaces or drops the lines that match.
func (c *configText) edit(matches func(configLine) bool, with string) {
	var out []configLine
	for _, l := range c.lines {
		switch {
		case !matches(l):
			out = append(out, l)
		case with != "":
			l.text = with
			out = append(out, l)
		}
	}
	c.lines = out
}

func (c *configText) drop(section, sub string, keys ...string) {
	c.edit(func(l configLine) bool {
		return l.section == section && l.sub == sub && slices.Contains(keys, l.key)
	}, "")
}

// replace sets a key to another value wherever it has one, in all subsections.
func (c *configText) replace(section, key, was, is string) {
	c.edit(func(l configLine) bool { return l.section == section && l.key == key && l.value == was }, "\t"+key+" = "+is+"\n")
}

// unset drops a key that has a value, in all subsections, and another with it.
func (c *configText) unset(section, key, was, with string) {
	subs := map[string]bool{}
	for _, l := range c.lines {
		if l.section == section && l.key == key && l.value == was {
			subs[l.sub] = true
		}
	}
	c.edit(func(l configLine) bool {
		return l.section == section && subs[l.sub] && (l.key == key || l.key == with)
	}, "")
}

// add puts a line below the first head of a section.
func (c *configText) add(section, sub, line string) {
	for i, l := range c.lines {
		if l.head && l.section == section && l.sub == sub {
			if !strings.HasSuffix(l.text, "\n") {
				c.lines[i].text += "\n"
			}
			c.lines = slices.Insert(c.lines, i+1, configLine{text: "\t" + line + "\n", section: section, sub: sub})
			return
		}
	}
	c.odd = true
}

func (c *configText) rename(section, was, is string) {
	for i, l := range c.lines {
		if l.section == section && l.sub == was {
			c.lines[i].sub = is
			if l.head {
				c.lines[i].text = fmt.Sprintf("[%s %s]\n", section, configValue(is))
			}
		}
	}
}

// dropSections drops sections; comments in them stay, for they may be about what
// follows.
func (c *configText) dropSections(section, sub string) {
	c.edit(func(l configLine) bool { return l.section == section && l.sub == sub && (l.head || l.key != "") }, "")
}

func (c *configText) bytes() []byte {
	var b bytes.Buffer
	for _, l := range c.lines {
		b.WriteString(l.text)
	}
	return b.Bytes()
}

// editConfig changes git's configuration in place. What comes out must be
// readable; what it says besides stays. The caller holds the lock.
func (r *Repo) editConfig(change func(*configText)) error {
	old, err := os.ReadFile(r.path(configFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	c := parseConfigText(old)
	change(c)
	content := c.bytes()
	_, err = config.ReadConfig(bytes.NewReader(content))
	if c.odd || err != nil {
		return fmt.Errorf("%s is written in a way that cannot be changed here; change the place with `git remote`", r.path(configFile))
	}
	return r.writeConfig(old, content)
}
