package day

import "math/bits"

// row is a set of grains of the days laid, one bit each.
type row []uint64

func newRow(grains int) row { return make(row, (grains+63)/64) }

// fill sets the grains from, … to-1.
func (r row) fill(from, to int) {
	for from < to {
		mask, next := wordMask(from, to)
		r[from>>6] |= mask
		from = next
	}
}

// wipe clears the grains from, … to-1.
func (r row) wipe(from, to int) {
	for from < to {
		mask, next := wordMask(from, to)
		r[from>>6] &^= mask
		from = next
	}
}

// wordMask is the part of from, … to-1 that lies in the word of from, and where the next
// word begins.
func wordMask(from, to int) (mask uint64, next int) {
	next = (from>>6 + 1) << 6
	mask = ^uint64(0) << (from & 63)
	if to < next {
		mask &= 1<<(to&63) - 1
	}
	return mask, next
}

func (r row) and(o row) {
	for i := range r {
		r[i] &= o[i]
	}
}

func (r row) or(o row) {
	for i := range r {
		r[i] |= o[i]
	}
}

func (r row) without(o row) {
	for i := range r {
		r[i] &^= o[i]
	}
}

// has says whether grain i is set.
func (r row) has(i int) bool { return r[i>>6]>>(i&63)&1 == 1 }

// all says whether every grain from, … to-1 is set.
func (r row) all(from, to int) bool { return r.run(from, to, to-from) == from }

// none says whether no grain from, … to-1 is set.
func (r row) none(from, to int) bool {
	next := r.next(from, to)
	return next >= to
}

// next is the first set grain at or after from, or to.
func (r row) next(from, to int) int {
	for from < to {
		word := r[from>>6] >> (from & 63)
		if word != 0 {
			return min(from+bits.TrailingZeros64(word), to)
		}
		from = (from>>6 + 1) << 6
	}
	return to
}

// gap is the first grain at or after from that is not set, or to.
func (r row) gap(from, to int) int {
	for from < to {
		word := ^r[from>>6] >> (from & 63)
		if word != 0 {
			return min(from+bits.TrailingZeros64(word), to)
		}
		from = (from>>6 + 1) << 6
	}
	return to
}

// run is the first grain at or after from at which n grains in a row are set, all
// before to; -1 when there is none.
func (r row) run(from, to, n int) int {
	for from+n <= to {
		from = r.next(from, to)
		if from+n > to {
			return -1
		}
		end := r.gap(from, to)
		if end-from >= n {
			return from
		}
		from = end
	}
	return -1
}

// shrunk keeps the grains all of whose neighbours from before grains ahead to after
// grains behind are set too.
func (r row) shrunk(before, after, grains int) row {
	out := newRow(grains)
	for from := r.next(0, grains); from < grains; {
		end := r.gap(from, grains)
		out.fill(from+before, max(from+before, end-after))
		from = r.next(end, grains)
	}
	return out
}

// count is how many grains from, … to-1 are set.
func (r row) count(from, to int) int {
	n := 0
	for from = r.next(from, to); from < to; from = r.next(from, to) {
		end := r.gap(from, to)
		n += end - from
		from = end
	}
	return n
}
