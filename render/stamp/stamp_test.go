package stamp

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestStamp(t *testing.T) {
	const word = "made here "
	text := Put([]byte("999\n"+Blank(word)+"\nrest"), word)
	assert.Len(t, text, len("999\n"+Blank(word)+"\nrest"))
	assert.True(t, Untouched(text, word))
	for i := range text {
		other := append([]byte{}, text...)
		other[i] ^= 1
		assert.False(t, Untouched(other, word), "byte %d", i)
	}
	assert.False(t, Untouched(append(text, '\n'), word))
	assert.False(t, Untouched(text[:len(text)-1], word))
	assert.False(t, Untouched(text, "made there "))
	assert.False(t, Untouched([]byte(word), word))
	assert.False(t, Untouched(nil, word))
}
