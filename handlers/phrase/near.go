package phrase

import "math/bits"

// Distance is the number of letters added, left out, changed or swapped with
// their neighbour between two words (optimal string alignment).
func Distance(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	var short [3][32]int // words are shorter than that, and asked about by the thousand
	prev2, prev, cur := short[0][:], short[1][:], short[2][:]
	if len(rb) >= len(prev) {
		prev2, prev, cur = make([]int, len(rb)+1), make([]int, len(rb)+1), make([]int, len(rb)+1)
	}
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		cur[0] = i
		for j := 1; j <= len(rb); j++ {
			cost := 1
			if ra[i-1] == rb[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(rb)]
}

// OneSlip reports two words that are one letter apart, see Distance.
func OneSlip(a, b string) bool {
	return strangeLetters(a, b) <= 2 && Distance(a, b) == 1
}

// slips is how many slips are forgiven in a word of that length.
func slips(letters int) int {
	switch {
	case letters < 4:
		return 0
	case letters < 8:
		return 1
	}
	return mostSlips
}

const mostSlips = 2

// isNear reports a forgivable slip. A word is never near itself.
func isNear(typed, want string) (int, bool) {
	allowed := slips(min(len(typed), len(want)))
	if allowed == 0 || len(typed)-len(want) > allowed || len(want)-len(typed) > allowed || strangeLetters(typed, want) > 2*allowed {
		return 0, false
	}
	d := Distance(typed, want)
	return d, d > 0 && d <= allowed
}

// strangeLetters counts letters that only one of two words has, too few where letters
// share a bit: a slip changes at most two of them.
func strangeLetters(a, b string) int { return bits.OnesCount32(letters(a) ^ letters(b)) }

// letters are those that a word has, a bit each.
func letters(w string) (has uint32) {
	for _, r := range w {
		has |= 1 << (r & 31)
	}
	return has
}

// nearest returns the one name of a short fixed list that a word of five
// letters or more equals or is a slip away from.
func nearest(w string, names []string) (string, bool) {
	if len(w) < 5 || len(w) > 20 {
		return "", false
	}
	best, found, unique := 99, "", false
	for _, name := range names {
		d := 0
		if w != name {
			var ok bool
			if d, ok = isNear(w, name); !ok {
				continue
			}
		}
		if d == best {
			unique = false
		}
		if d < best {
			best, found, unique = d, name, true
		}
	}
	return found, unique
}
