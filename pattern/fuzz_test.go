package pattern

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

// refused holds what decoding may answer with: a *FileError with a file, a
// line that is there, and a reason.
func refused(t *testing.T, err error) {
	var fileError *FileError
	require.True(t, errors.As(err, &fileError), "%v", err)
	require.NotEmpty(t, fileError.File)
	require.NotEmpty(t, fileError.Reason)
	require.GreaterOrEqual(t, fileError.Line, 0)
}

// FuzzDecodePiece holds that what decodes can be encoded, decodes to the same
// again and encodes to the same bytes, and that the rest is refused properly.
func FuzzDecodePiece(f *testing.F) {
	rich, err := richFront().Encode()
	require.NoError(f, err)
	for _, text := range []string{string(rich), goodPiece, goodBack, rectangleText, "name: {", "outline:\n- corner: [0, 0]\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 4096 {
			t.Skip("a longer text tells no more")
		}
		p, err := DecodePiece("pieces/front.yaml", "front", text)
		if err != nil {
			refused(t, err)
			return
		}
		first, err := p.Encode()
		require.NoError(t, err)
		again, err := DecodePiece("pieces/front.yaml", "front", first)
		require.NoError(t, err, "%s", first)
		require.Equal(t, p, again)
		second, err := again.Encode()
		require.NoError(t, err)
		require.Equal(t, string(first), string(second))
		require.Equal(t, p, p.Clone())
	})
}

// FuzzDecodePattern holds the same for whole patterns.
func FuzzDecodePattern(f *testing.F) {
	f.Add([]byte(goodPattern), []byte(goodPiece), []byte(goodBack), []byte(goodFitting))
	f.Add([]byte(goodPattern), []byte(goodPiece), []byte(goodBack), []byte("fitting: 2\nid: abcd1234\nwearer: x\nmeasures: {waist: 700}\nnotes:\n"+
		"- {note: 1, place: 8cm from left, on_toile: true, seen: it gapes, left_mm: 0, right_mm: 8.5, pinch: true, side: both, again: [{fitting: 3, after: 4, seen: still}]}\n- {note: 3, seen: it pulls}\ntaken_away: [2, 4]\n"))
	f.Add([]byte("format: 1\nname: x\nseams:\n- {name: a, first: [{piece: front, edge: top}], second: [{piece: back, edge: top}], openings: [{name: o, from: 1, to: 2}]}\n"),
		[]byte(rectangleText), []byte(goodBack), []byte("fitting: 2\n"))
	f.Fuzz(func(t *testing.T, head, front, back, fitting []byte) {
		if len(head)+len(front)+len(back)+len(fitting) > 8192 {
			t.Skip("longer texts tell no more")
		}
		p, err := Decode(map[string][]byte{PatternFile: head, "pieces/front.yaml": front, "pieces/back.yaml": back, "fittings/02-abcd.yaml": fitting})
		if err != nil {
			refused(t, err)
			return
		}
		files, err := p.Encode() // gives ids, which p then has too
		require.NoError(t, err)
		again, err := Decode(files)
		require.NoError(t, err, "%s", files)
		require.Equal(t, p, again)
		second, err := again.Encode()
		require.NoError(t, err)
		require.Equal(t, files, second)
		require.Equal(t, p, p.Clone())
	})
}
