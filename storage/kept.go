package storage

import (
	"errors"
	"slices"

	"modernc.org/sqlite"
)

// Kept returns what read returned the last time, as long as nothing has written a table
// that it was read from, else it has it read anew. Key is of a type of its own for each
// thing that is kept and names the household; read may look at nothing but the records
// and the key. What it returns is shared: nobody changes it.
func Kept[T any](tx *Tx, key any, read func() (T, error)) (T, error) {
	k := &tx.store.kept
	if v, ok := k.values[key]; ok && k.stands(v) {
		k.reads(v.from)
		return v.is.(T), nil
	}
	v := &keptValue{asOf: k.writes}
	k.reading = append(k.reading, v)
	defer func() { k.reading = k.reading[:len(k.reading)-1] }()
	is, err := read()
	if err != nil {
		return is, err
	}
	v.is = is
	if len(k.values) >= mostKept {
		clear(k.values)
	}
	k.values[key] = v
	return is, nil
}

// mostKept bounds what is kept: about a dozen households that talk at the same time.
const mostKept = 256

// kept is what has been read and still stands. Which tables a statement reads and which
// it writes, its triggers and foreign keys with it, is what SQLite tells when it compiles
// the statement. Writing is counted by tables and not by rows or households: that can
// only make something be read once more than it had to be.
type kept struct {
	values  map[any]*keptValue
	reading []*keptValue      // those that are being read now, one for another
	writes  uint64            // so many writes there were
	last    map[string]uint64 // which of them was the last of each table
	version uint32            // of the file after the last transaction: another one is another process's
}

type keptValue struct {
	is   any
	from []string // the tables that it was read from
	asOf uint64   // after so many writes
}

func (k *kept) stands(v *keptValue) bool {
	return !slices.ContainsFunc(v.from, func(table string) bool { return k.last[table] > v.asOf })
}

// reads notes from which tables something is read.
func (k *kept) reads(tables []string) {
	for _, v := range k.reading {
		for _, t := range tables {
			if !slices.Contains(v.from, t) {
				v.from = append(v.from, t)
			}
		}
	}
}

// wrote notes which tables are written.
func (k *kept) wrote(tables []string) {
	for _, t := range tables {
		k.writes++
		k.last[t] = k.writes
	}
}

// tookBack notes that what was written since is no longer so.
func (k *kept) tookBack(since uint64) {
	for table, last := range k.last {
		if last > since {
			k.writes++
			k.last[table] = k.writes
		}
	}
}

// touched is which tables a statement reads and which it writes.
type touched struct{ reads, writes []string }

// once has each table once.
func (t touched) once() touched {
	slices.Sort(t.reads)
	slices.Sort(t.writes)
	return touched{slices.Compact(t.reads), slices.Compact(t.writes)}
}

// watch has SQLite tell of each statement that is compiled on the connection. One that is
// compiled to be run once is taken as run.
func (s *Store) watch() error {
	return s.conn.Raw(func(driver any) error {
		c, ok := driver.(sqlite.AuthorizerRegisterer)
		if !ok {
			return errors.ErrUnsupported
		}
		return c.RegisterAuthorizer(func(action sqlite.AuthorizerActionCode, table, _, _, _ string) sqlite.AuthorizerReturnCode {
			switch action {
			case sqlite.AuthRead:
				s.compiling.reads = append(s.compiling.reads, table)
				s.kept.reads([]string{table})
			case sqlite.AuthInsert, sqlite.AuthUpdate, sqlite.AuthDelete:
				s.compiling.writes = append(s.compiling.writes, table)
				s.kept.wrote([]string{table})
			}
			return sqlite.AuthorizerOK
		})
	})
}

// recall begins a transaction: what another process has written since the last one takes
// away all that is kept.
func (s *Store) recall() {
	if version, ok := s.fileVersion(); !ok || version != s.kept.version {
		clear(s.kept.values)
	}
}

// retain ends a transaction.
func (s *Store) retain() {
	version, ok := s.fileVersion()
	if !ok {
		clear(s.kept.values)
	}
	s.kept.version = version
}

// fileVersion is a number that is another one after each commit, of whichever process.
func (s *Store) fileVersion() (version uint32, ok bool) {
	err := s.conn.Raw(func(driver any) (err error) {
		c, can := driver.(sqlite.FileControl)
		if !can {
			return errors.ErrUnsupported
		}
		version, err = c.FileControlDataVersion("main")
		return err
	})
	return version, err == nil
}
