package rota

// Extra returns how many further steps a fixed order of n people takes at the turn
// of each week, when so many turns fall in a week: the fewest with which everybody
// meets every turn of the week in n weeks. Without them seven people and a daily
// chore give the same person every Sunday, and two people who take turns twice a
// day give one of them every morning. It is 0 for fewer than two people or no turn.
func Extra(n, perWeek int) int {
	if n < 2 || perWeek < 1 {
		return 0
	}
	e := 0
	for gcd(perWeek+e, n) != 1 {
		e++
	}
	return e
}

// Cycle returns after how many weeks a fixed order of n people comes round to
// where it began, with so many turns and further steps a week, and whether
// everybody has met every turn of the week by then. It is 0 for no people.
func Cycle(n, perWeek, extra int) (weeks int, all bool) {
	if n < 1 {
		return 0, false
	}
	g := gcd(perWeek+extra, n)
	return n / g, g == 1
}

// Weekly returns the place in the order of n people of whoever has a chore for a
// week: chores and weeks are counted from 0. After n weeks everybody has had each
// chore once. It is 0 for fewer than two people.
func Weekly(chore, week, n int) int {
	if n < 2 {
		return 0
	}
	return ((chore+week)%n + n) % n
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
