package alter

import (
	"fmt"
	"strings"
)

// Typed says an alteration as it is typed behind `toile alter`.
func Typed(r Recipe) string {
	words := []string{r.Kind, quotedWord(r.Piece)}
	k := kinds[r.Kind]
	if k == nil {
		return strings.Join(words, " ")
	}
	for _, key := range k.Keys {
		switch v := r.Values[key.Name]; {
		case v == "":
		case key.Typed:
			words = append(words, quotedWord(v))
		case key.What == Flag:
			words = append(words, "--"+key.Name)
		default:
			words = append(words, "--"+key.Name, quotedWord(v))
		}
	}
	return strings.Join(words, " ")
}

// quotedWord puts quotes round a word that a shell would take apart.
func quotedWord(s string) string {
	if strings.ContainsAny(s, " \"'$`\\&|;()<>*?#~!") {
		return fmt.Sprintf("%q", s)
	}
	return s
}
