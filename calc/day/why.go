package day

import "slices"

// reasons says why a piece stands where it does: what fixed it, then block by block why it
// is not earlier.
func (s *search) reasons(p stood, stand []stood, b *board) []Reason {
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
	b.take(p.piece, p.spot)
	before := s.barriers(p.piece, stand, b, p.at, p.block)
	b.put(p.piece, p.spot)
	if len(before) == 0 && len(p.Was) <= p.part {
		out = append(out, Reason{Cause: First})
	}
	return append(out, before...)
}

// reasonsLeft says why a job stands nowhere.
func (s *search) reasonsLeft(t *task, stand []stood, b *board) []Reason {
	var out []Reason
	if t.Moved >= OftenMoved {
		out = append(out, Reason{Cause: Often, Times: t.Moved})
	}
	p := t.cut(t.Takes)[0]
	if t.pin >= 0 {
		return append(out, s.barrier(p, rooms(s.empty, p), rooms(b, p), s.hour(t), stand))
	}
	why := s.barriers(p, stand, b, s.grains, -1)
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
// a piece out of it; blocks that are over are passed over. The board has all that stands
// but the piece.
func (s *search) barriers(p piece, stand []stood, b *board, before, own int) []Reason {
	var out []Reason
	var bare, now []row
	for k := range s.blocks {
		c := &s.blocks[k]
		if k == own || c.from >= before || c.to <= s.now {
			continue
		}
		if bare == nil {
			bare, now = rooms(s.empty, p), rooms(b, p)
		}
		if r := s.barrier(p, bare, now, c, stand); r.Cause != First {
			out = append(out, r)
		}
	}
	return out
}

// rooms is the room that each team of a piece has on a board.
func rooms(b *board, p piece) []row {
	out := make([]row, 0, len(p.teams))
	for _, t := range p.teams {
		out = append(out, slices.Clone(b.room(p, t)))
	}
	return out
}

// barrier is what keeps a piece out of a block, the plainest cause first; First when it
// could be there. The rooms are those of an empty board and those beside what stands.
func (s *search) barrier(p piece, bare, now []row, c *cell, stand []stood) Reason {
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
	if !s.manned(p, c, from) {
		r.People = s.names(everyone(p))
		return because(NobodyIn)
	}
	for _, n := range []struct {
		need  Need
		row   row
		cause Cause
	}{{Kitchen, s.kitchen.shrunk(p.lead, p.trail, s.grains), KitchenIn}, {Oven, s.oven, OvenIn}, {Light, s.light, Dark}, {Dry, s.fine, WetOut}} {
		if p.Need&n.need != 0 && n.row.run(from, c.to, p.grains) < 0 {
			return because(n.cause)
		}
	}
	if p.Need&Elsewhere != 0 && s.apart.shrunk(p.lead, p.trail, s.grains).run(from, c.to, p.grains) < 0 {
		r.People = s.childrenAbout(p, from, c.to)
		return because(About)
	}
	if !fitsAny(p, c, from, bare) {
		return because(Together)
	}
	if fitsAny(p, c, from, now) {
		return because(First)
	}
	r.Job = s.taker(p, c, stand)
	return because(TakenBy)
}

// manned says whether some team is in a block for as long as a piece takes.
func (s *search) manned(p piece, c *cell, from int) bool {
	return slices.ContainsFunc(p.teams, func(t team) bool { return c.fit(s.whole, t, from, p.grains) >= 0 })
}

// fitsAny says whether some team could be at a piece in a block, given the room of each.
func fitsAny(p piece, c *cell, from int, room []row) bool {
	for k, t := range p.teams {
		if c.fit(room[k], t, from, p.grains) >= 0 {
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

// taker names the most pressing job that stands in a block and that a piece cannot stand
// beside: by its people, its appliance, or the children.
func (s *search) taker(p piece, c *cell, stand []stood) string {
	for _, q := range stand {
		if q.task == p.task || q.at-q.lead >= c.to || c.from >= q.end()+q.trail {
			continue
		}
		people := q.teams[q.team]&everyone(p) != 0
		thing := q.Need&p.Need&(Kitchen|Oven) != 0
		child := q.Need&Elsewhere != 0 && s.minor(everyone(p)) || p.Need&Elsewhere != 0 && s.minor(q.teams[q.team])
		if people || thing || child {
			return q.ID
		}
	}
	return ""
}

// helpers names the children who are about and free while a piece is done, youngest last.
func (s *search) helpers(p stood, b *board) []string {
	if !p.Help || p.Need&Elsewhere != 0 || p.block < 0 {
		return nil
	}
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
