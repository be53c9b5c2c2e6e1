package safety

// Mould is what to do with a food on which mould has grown.
type Mould struct {
	Food   string
	Keep   bool // the rest may be kept, as the text says; else it is thrown out
	Text   string
	Source string
	Mark   string

	when condition
}

var moulds = load("mould.csv", &mouldCSV, func(r record) (Mould, error) {
	return Mould{Food: r["food"], Keep: r["keep"] == "yes", Text: r["text"], Source: r["source"], Mark: r["mark"], when: conditionOf(r)}, nil
})

// Mouldy returns the published advice for a food that the words name. Where the words
// name foods of both kinds it is that to throw out; false when the food is none of the
// list: then nothing of it is kept either (FSIS: food covered with mould is discarded).
func Mouldy(words string) (Mould, bool) {
	asked := clauses(words)
	var found Mould
	ok := false
	for _, m := range moulds() {
		if m.when.apply(asked) && (!ok || found.Keep) {
			found, ok = m, true
		}
	}
	return found, ok
}
