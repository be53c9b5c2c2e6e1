package exposure

// Out is what the weather means for a child out of doors.
type Out int

// The bands, each stricter than the one before.
const (
	Free       Out = iota // no limit by the weather
	Breaks                // with breaks indoors, or in the shade
	StayIn                // no children's chores or play outdoors
	Essentials            // nobody alone; only what the animals need
)

// Advice is what to do.
type Advice struct {
	Out     Out
	Minutes int    // the longest stay between breaks, for Breaks; 0 otherwise
	Lines   []Line // what to say, in order
}

// Line is a sentence with where it comes from.
type Line struct {
	Text   string
	Source string
	Mark   string // "ours" for a rule of our own
}
