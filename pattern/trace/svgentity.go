package trace

import (
	"strconv"
	"strings"
)

const (
	maxEntities = 200
	maxEntity   = 1_000 // bytes of one value
)

// internalEntities reads the entities that a document type declaration
// defines in itself, as older drawing programs do for the names of their
// namespaces:
//
//	<!DOCTYPE svg [ <!ENTITY ns_svg "http://www.w3.org/2000/svg"> ]>
//
// Values are taken as plain text: a reference in a value is not followed, so
// nothing can swell. Entities that stand for other files, and parameter
// entities, are not defined; a reference to one is then an error.
func internalEntities(directive string) (map[string]string, error) {
	open := strings.IndexByte(directive, '[')
	if !strings.HasPrefix(directive, "DOCTYPE") || open < 0 {
		return nil, nil
	}
	entities := map[string]string{}
	rest := directive[open+1:]
	for {
		_, after, found := strings.Cut(rest, "<!ENTITY")
		if !found {
			return entities, nil
		}
		name, value, after, ok := entity(after)
		rest = after
		if !ok {
			continue
		}
		if len(value) > maxEntity || len(entities) >= maxEntities {
			return nil, tooLarge("more than %d entities, or one of more than %d characters", maxEntities, maxEntity)
		}
		if _, again := entities[name]; !again { // XML 1.0, section 4.2: the first one counts
			entities[name] = value
		}
	}
}

// entity reads `name "value"` and gives what follows it; ok is false for what
// is not a plain internal entity.
func entity(s string) (name, value, rest string, ok bool) {
	s = strings.TrimLeft(s, " \t\r\n")
	end := strings.IndexAny(s, " \t\r\n>")
	if end <= 0 || s[0] == '%' {
		return "", "", s, false
	}
	name, rest = s[:end], strings.TrimLeft(s[end:], " \t\r\n")
	if rest == "" || rest[0] != '"' && rest[0] != '\'' {
		return "", "", rest, false
	}
	value, rest, ok = strings.Cut(rest[1:], rest[:1])
	if !ok || strings.Contains(value, "&") && !characterReferences(&value) {
		return "", "", rest, false
	}
	return name, value, rest, ok
}

// characterReferences replaces &#38; and &#x26; by their characters, once,
// and reports whether the value refers to nothing else.
func characterReferences(value *string) bool {
	var b strings.Builder
	for rest := *value; ; {
		before, after, found := strings.Cut(rest, "&")
		b.WriteString(before)
		if !found {
			*value = b.String()
			return true
		}
		code, after, closed := strings.Cut(after, ";")
		base, digits := 10, strings.TrimPrefix(code, "#")
		if hex := strings.TrimPrefix(digits, "x"); hex != digits {
			base, digits = 16, hex
		}
		r, err := strconv.ParseUint(digits, base, 21)
		if !closed || !strings.HasPrefix(code, "#") || err != nil || r == 0 || r > 0x10ffff {
			return false
		}
		b.WriteRune(rune(r))
		rest = after
	}
}
