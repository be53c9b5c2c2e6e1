package day

import "slices"

// reasons says why a piece stands where it does: what fixed it, then block by block why it
// is not earlier.
func (s *search) reasons(p stood, stand []stood) []Reason {
	var out []Reason
	switch {
	case p.pin >= 0:
		out = append(out, Reason{Cause: Pinned, At: p.Pin})
	case len(p.Was) > p.part && !s.moved(p):
		out = append(out, Reason{Cause: Stayed, At: p.Was[p.part].From})
	case len(p.Was) > p.part && s.at(p.at).Equal(p.Was[p.part].From):
		out = append(out, Reason{Cause: Replaced, At: s.at(p.at), People: p.Was[p.part].Who})
	case len(p.Was) > p.part:
		out = append(out, Reason{Cause: CameFrom, At: p.Was[p.part].From})
	}
	if p.Moved >= OftenMoved {
		out = append(out, Reason{Cause: Often, Times: p.Moved})
	}
	if late := s.lateOf(p.piece, p.end()); late > 0 {
		out = append(out, Reason{Cause: LateBy, Days: late / max(p.Cost, 1)})
	}
	if p.parts > 1 {
		out = append(out, Reason{Cause: Parted, Times: p.parts})
	}
	if p.Need&Dry != 0 && !s.dry.all(p.at, p.end()) {
		out = append(out, Reason{Cause: IfDry})
	}
	if p.pin >= 0 {
		return out
	}
	before := s.barriers(p.piece, stand, p.at, p.block)
	if len(before) == 0 && len(p.Was) <= p.part {
		out = append(out, Reason{Cause: First})
	}
	return append(out, before...)
}

// reasonsLeft says why a job stands nowhere.
func (s *search) reasonsLeft(t *task, stand []stood) []Reason {
	var out []Reason
	if t.Moved >= OftenMoved {
		out = append(out, Reason{Cause: Often, Times: t.Moved})
	}
	p := t.cut(t.Takes)[0]
	if t.pin >= 0 {
		return append(out, s.barrier(p, s.wall(p), s.hour(t), stand))
	}
	why := s.barriers(p, stand, s.grains, -1)
	if len(why) == 0 {
		why = []Reason{{Cause: NoBlock}}
	}
	return append(out, why...)
}

// hour is the stretch of a pinned job, seen as a block for all who are at home.
func (s *search) hour(t *task) *cell {
	return &cell{Block: Block{Span: Span{s.at(t.pin), s.at(t.pin + t.grains)}}, from: t.pin, to: t.pin + t.grains, work: s.here}
}

// barriers says of each open block that begins before a grain, other than one, what keeps
// a piece out of it; blocks that are over are passed over.
func (s *search) barriers(p piece, stand []stood, before, own int) []Reason {
	var out []Reason
	var rooms []row
	for k := range s.blocks {
		c := &s.blocks[k]
		if k == own || c.from >= before || c.to <= s.now {
			continue
		}
		if rooms == nil {
			rooms = s.wall(p)
		}
		if r := s.barrier(p, rooms, c, stand); r.Cause != First {
			out = append(out, r)
		}
	}
	return out
}

// wall is the room that each team has for a piece as long as no other job stands.
func (s *search) wall(p piece) []row {
	empty := s.board()
	var out []row
	for _, t := range p.teams {
		out = append(out, empty.room(p, t))
	}
	return out
}

// barrier is what keeps a piece out of a block, the plainest cause first; First when it
// could be there.
func (s *search) barrier(p piece, rooms []row, c *cell, stand []stood) Reason {
	r := Reason{Block: c.Name, At: c.From}
	because := func(cause Cause) Reason {
		r.Cause = cause
		return r
	}
	from := max(c.from, s.now)
	if p.pin >= 0 {
		from = c.from
	}
	switch {
	case c.to-c.from < p.grains:
		return because(TooShort)
	case c.to-from < p.grains:
		return because(Passed)
	case c.to-max(from, p.earliest) < p.grains:
		return because(TooEarly)
	case min(c.to, p.latest)-from < p.grains:
		return because(TooLate)
	}
	whole := s.but(newRow(s.grains))
	if !s.fitsAny(p, c, from, func(int) row { return whole }) {
		r.People = s.names(everyone(p))
		return because(NobodyIn)
	}
	for _, n := range []struct {
		need  Need
		row   row
		cause Cause
	}{{Kitchen, s.kitchen, KitchenIn}, {Oven, s.oven, OvenIn}, {Light, s.light, Dark}, {Dry, s.fine, WetOut}} {
		if p.Need&n.need != 0 && n.row.run(from, c.to, p.grains) < 0 {
			return because(n.cause)
		}
	}
	if p.Need&Elsewhere != 0 && s.apart.shrunk(p.lead, p.trail, s.grains).run(from, c.to, p.grains) < 0 {
		r.People = s.childrenAbout(p, from, c.to)
		return because(About)
	}
	if !s.fitsAny(p, c, from, func(k int) row { return rooms[k] }) {
		return because(Together)
	}
	return s.taken(p, c, stand, because)
}

// fitsAny says whether some team could be at a piece in a block.
func (s *search) fitsAny(p piece, c *cell, from int, room func(team int) row) bool {
	for k, t := range p.teams {
		if c.fit(room(k), t, from, p.grains) >= 0 {
			return true
		}
	}
	return false
}

// childrenAbout names the children who are never elsewhere for so long between two
// grains, or all who are not when each is at another time.
func (s *search) childrenAbout(p piece, from, to int) []string {
	var never, some []string
	for i, person := range s.people {
		if !person.Child {
			continue
		}
		away := s.away[i].shrunk(p.lead, p.trail, s.grains)
		if away.run(from, to, p.grains) < 0 {
			never = append(never, person.Name)
		}
		if !away.all(from, to) {
			some = append(some, person.Name)
		}
	}
	if len(never) > 0 {
		return never
	}
	return some
}

// taken names the job that takes a piece's place in a block: the most pressing one without
// which it could be there, else the most pressing one that is there.
func (s *search) taken(p piece, c *cell, stand []stood, because func(Cause) Reason) Reason {
	var there []stood
	for _, q := range stand {
		if q.task != p.task && q.at-q.lead < c.to && c.from < q.end()+q.trail {
			there = append(there, q)
		}
	}
	fits := func(without int) bool {
		b := s.board()
		for i, q := range stand {
			if q.task != p.task && (without < 0 || q.task != there[without].task) {
				b.put(stand[i].piece, q.spot)
			}
		}
		return s.fitsAny(p, c, max(c.from, s.now), func(k int) row { return b.room(p, p.teams[k]) })
	}
	if fits(-1) {
		return Reason{Cause: First}
	}
	for i := range there {
		if fits(i) {
			r := because(TakenBy)
			r.Job = there[i].ID
			return r
		}
	}
	r := because(TakenBy)
	if len(there) > 0 {
		r.Job = there[0].ID
	}
	return r
}

// helpers names the children who are about and free while a piece is done, youngest last.
func (s *search) helpers(p stood, stand []stood) []string {
	if !p.Help || p.Need&Elsewhere != 0 || p.block < 0 {
		return nil
	}
	b := s.boardOf(stand)
	var can []Person
	for i, person := range s.people {
		if !person.Child || !p.childMay(person) || !s.blocks[p.block].work[i].all(p.at, p.end()) || !b.busy[i].none(p.at, p.end()) {
			continue
		}
		if slices.ContainsFunc(b.kept, func(r row) bool { return !r.none(p.at, p.end()) }) {
			continue
		}
		can = append(can, person)
	}
	slices.SortStableFunc(can, func(a, b Person) int { return b.Age - a.Age })
	var out []string
	for _, person := range can {
		out = append(out, person.Name)
	}
	return out
}
