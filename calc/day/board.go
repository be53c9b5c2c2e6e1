package day

// spot is where a piece can stand: from which grain, done by which of its teams, in which
// of the grid's blocks (-1: pinned).
type spot struct{ at, team, block int }

// before orders spots: earlier, then the team that comes first, then the block.
func (s spot) before(o spot) bool {
	if s.at != o.at {
		return s.at < o.at
	}
	if s.team != o.team {
		return s.team < o.team
	}
	return s.block < o.block
}

// board is what stands so far.
type board struct {
	*grid
	busy        []row // by person: at a job, or kept for lye work
	kept        []row // by person: children have to be elsewhere for a job of this one
	cooks, heat row   // the kitchen and the oven in use by a job
	scratch     row   // of room
}

func (g *grid) board() *board {
	b := &board{grid: g, cooks: newRow(g.grains), heat: newRow(g.grains), scratch: newRow(g.grains)}
	for range g.people {
		b.busy, b.kept = append(b.busy, newRow(g.grains)), append(b.kept, newRow(g.grains))
	}
	return b
}

// put and take set a piece on the board and take it off again.
func (b *board) put(p piece, s spot)  { b.mark(p, s, row.fill) }
func (b *board) take(p piece, s spot) { b.mark(p, s, row.wipe) }

func (b *board) mark(p piece, s spot, do func(r row, from, to int)) {
	from, to := s.at, s.at+p.grains
	lo, hi := b.clip(from-p.lead), b.clip(to+p.trail)
	if p.Need&Kitchen != 0 {
		do(b.cooks, lo, hi)
	}
	if p.Need&Oven != 0 {
		do(b.heat, from, to)
	}
	first := true
	p.teams[s.team].each(func(i int) {
		do(b.busy[i], lo, hi)
		if first && p.Need&Elsewhere != 0 {
			do(b.kept[i], lo, hi)
		}
		first = false
	})
}

// room is the row of grains at which a team could be at a piece, blocks not asked. It is
// good until the next call.
func (b *board) room(p piece, t team) row {
	out := b.scratch
	copy(out, p.may)
	if p.Need&Oven != 0 {
		out.without(b.heat)
	}
	if b.minor(t) {
		for i := range b.grown {
			out.without(b.kept[i])
		}
	}
	if p.lead+p.trail > 0 {
		shut := newRow(b.grains)
		b.barred(p, t, shut.or)
		t.each(func(i int) { shut.or(b.but(b.able(p, i))) })
		out.and(b.but(shut).shrunk(p.lead, p.trail, b.grains))
		return out
	}
	b.barred(p, t, out.without)
	return out
}

// barred hands on what a piece may not touch, margin and all.
func (b *board) barred(p piece, t team, bar func(row)) {
	if p.Need&Kitchen != 0 {
		bar(b.cooks)
	}
	t.each(func(i int) { bar(b.busy[i]) })
	if p.Need&Elsewhere != 0 {
		for _, child := range b.busy[b.grown:] {
			bar(child)
		}
	}
}

// minor says whether a child is on a team.
func (g *grid) minor(t team) bool {
	return t>>g.grown != 0
}

// able is when a person can be at a piece, whatever the block.
func (g *grid) able(p piece, person int) row {
	if p.pin >= 0 {
		return g.here[person]
	}
	return g.free[person]
}

// first is the earliest spot for a piece at or after a grain.
func (b *board) first(p piece, from int) (spot, bool) {
	best, found := spot{}, false
	for k, t := range p.teams {
		at, block := b.firstOf(p, t, from)
		if at < 0 {
			continue
		}
		if s := (spot{at, k, block}); !found || s.before(best) {
			best, found = s, true
		}
	}
	return best, found
}

// firstOf is the earliest start of a team and its block, -1 when there is none.
func (b *board) firstOf(p piece, t team, from int) (at, block int) {
	room := b.room(p, t)
	if p.pin >= 0 {
		t.each(func(i int) { room.and(b.here[i]) })
		if p.pin < from || !room.all(p.pin, p.pin+p.grains) {
			return -1, -1
		}
		return p.pin, -1
	}
	at = -1
	for k := range b.blocks {
		c := &b.blocks[k]
		if at >= 0 && c.from >= at {
			break
		}
		start := max(c.from, from)
		if start+p.grains > c.to {
			continue
		}
		if s := c.fit(room, t, start, p.grains); s >= 0 && (at < 0 || s < at) {
			at, block = s, k
		}
	}
	return at, block
}

// fit is the first run of n grains of room in which a whole team is in the block.
func (c *cell) fit(room row, t team, from, n int) int {
	for {
		s := room.run(from, c.to, n)
		if s < 0 {
			return -1
		}
		next := s
		t.each(func(i int) {
			if at := c.work[i].run(next, c.to, n); at < 0 {
				next = c.to
			} else {
				next = max(next, at)
			}
		})
		if next == s {
			return s
		}
		from = next
	}
}
