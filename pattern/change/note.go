package change

// The states of a note.
const (
	NoteOpen     = "open"
	NoteAnswered = "answered"
)

// Note is a note of a fitting as a diff lists it: one that was answered since
// FROM, or one that is open in TO.
type Note struct {
	Note  string `json:"note"` // FITTING.NOTE
	Piece string `json:"piece"`
	Edge  string `json:"edge"`
	Place string `json:"place"` // as it was typed
	At    *XY    `json:"at"`    // on the sheet of the piece
	Side  string `json:"side"`
	Seen  string `json:"seen"`
	ToDo  string `json:"to_do"`
	State string `json:"state"`
	// Answered is the version that answered it, 0 while open; Again says that
	// one did before, and that it was seen again since FROM.
	Answered int  `json:"answered"`
	Again    bool `json:"again"`
}
