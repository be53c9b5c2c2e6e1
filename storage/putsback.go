package storage

import (
	"slices"
	"strings"
)

// putsBack reports whether a statement is one of those that the journal writes about a
// row of a table, and nothing else: it deletes, sets or inserts that row with plain
// values.
func putsBack(statement, table, row string) bool {
	if !slices.Contains(journaled, table) {
		return false
	}
	if rest, ok := strings.CutPrefix(statement, "DELETE FROM "+table+" WHERE id = "); ok {
		return rest == row
	}
	if rest, ok := strings.CutPrefix(statement, "UPDATE "+table+" SET "); ok {
		return sets(rest, row)
	}
	if rest, ok := strings.CutPrefix(statement, "INSERT INTO "+table+" ("); ok {
		return inserts(rest, row)
	}
	return false
}

// sets reads "a = 1, b = 'x' WHERE id = 3".
func sets(rest, row string) bool {
	for {
		name, after, ok := strings.Cut(rest, " = ")
		if !ok || !plainName(name) {
			return false
		}
		after, ok = literal(after)
		if !ok {
			return false
		}
		if rest, ok = strings.CutPrefix(after, ", "); !ok {
			return after == " WHERE id = "+row
		}
	}
}

// inserts reads "id, a) VALUES (3, 'x')".
func inserts(rest, row string) bool {
	list, rest, ok := strings.Cut(rest, ") VALUES (")
	if !ok {
		return false
	}
	columns := strings.Split(list, ", ")
	for i, name := range columns {
		after, ok := literal(rest)
		if !ok || !plainName(name) || name == "id" && rest[:len(rest)-len(after)] != row {
			return false
		}
		want := ", "
		if i == len(columns)-1 {
			want = ")"
		}
		if rest, ok = strings.CutPrefix(after, want); !ok {
			return false
		}
	}
	return rest == ""
}

func plainName(name string) bool {
	return name != "" && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz_0123456789") == ""
}

// literal cuts a value as SQLite's quote() writes it off the front: NULL, a number, a
// text in single quotes, or a blob.
func literal(s string) (rest string, ok bool) {
	if rest, ok := strings.CutPrefix(s, "NULL"); ok {
		return rest, true
	}
	if rest, ok := strings.CutPrefix(s, "X'"); ok {
		rest = strings.TrimLeft(rest, "0123456789ABCDEFabcdef")
		return strings.CutPrefix(rest, "'")
	}
	if quoted, ok := strings.CutPrefix(s, "'"); ok {
		for {
			_, after, closed := strings.Cut(quoted, "'")
			if !closed {
				return "", false
			}
			if quoted, ok = strings.CutPrefix(after, "'"); !ok { // two quotes are one in the text
				return after, true
			}
		}
	}
	rest = strings.TrimLeft(s, "+-.0123456789eE")
	return rest, len(rest) < len(s)
}
