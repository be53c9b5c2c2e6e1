package handlers

import "iter"

// index is where each word stands in the forms. It is made each time the program starts,
// hence one list of places for all words.
type index struct {
	places []place
	last   map[string]int32 // the last place of each word, from 1
}

// place is a part of a form.
type place struct {
	form, part int
	before     int32 // the place of the same word before this one, 0 for none
}

func newIndex() index {
	return index{make([]place, 0, 1<<13), make(map[string]int32, 1<<11)}
}

func (x *index) add(word string, form, part int) {
	x.places = append(x.places, place{form, part, x.last[word]})
	x.last[word] = int32(len(x.places))
}

// of goes through the places of a word.
func (x *index) of(word string) iter.Seq[place] {
	return func(yield func(place) bool) {
		for n := x.last[word]; n > 0; n = x.places[n-1].before {
			if !yield(x.places[n-1]) {
				return
			}
		}
	}
}

// begins reports a word with which a form begins.
func (x *index) begins(word string) bool {
	for at := range x.of(word) {
		if at.part == 0 {
			return true
		}
	}
	return false
}
