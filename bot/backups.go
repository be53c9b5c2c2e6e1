package main

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"yardbell/reminders"
	"yardbell/storage"
)

const (
	// tryAgain is how long after a backup that failed the next is tried.
	tryAgain = time.Hour
	// mostSent is the largest copy that goes to a chat; services take 50 MB.
	mostSent = 45 << 20
)

// backups makes the copies that are due by now, and reports whether anybody was told
// something. Lines are answered meanwhile: only what came of it is written in a
// transaction.
func (s *session) backups(ctx context.Context, now time.Time) (told bool, err error) {
	var due []storage.Household
	alone := false
	err = s.store.Do(ctx, func(tx *storage.Tx) error {
		ids, err := tx.BackedUp()
		if err != nil || len(ids) == 0 {
			return err
		}
		all, err := tx.Households()
		alone = len(all) == 1
		for _, id := range ids {
			h, is, errDue := s.backupDue(tx, id, now)
			if errDue != nil {
				return errDue
			}
			if is {
				due = append(due, h)
			}
		}
		return err
	})
	if err != nil {
		return false, fmt.Errorf("which backups are due: %w", err)
	}
	for _, h := range due {
		b := storage.Backup{Household: h.ID, At: now, File: s.store.Folder(h.Backup.Folder)}
		file, bytes, failed := s.store.Copy(ctx, h.Backup.Folder, h.Backup.Keep, now)
		if ctx.Err() != nil {
			return told, ctx.Err()
		}
		if failed != nil {
			b.Failed = failed.Error()
		}
		if file != "" {
			b.File, b.Bytes = file, bytes
		}
		var said bool
		err := s.store.Do(ctx, func(tx *storage.Tx) (err error) {
			said, err = tellBackup(tx, h, b, alone)
			return err
		})
		if err != nil {
			return told, fmt.Errorf("note a backup: %w", err)
		}
		told = told || said
	}
	return told, nil
}

// backupDue reports whether a household's backup is due: the first in a folder at once,
// so that one which cannot be written is found out, then by its schedule, and after
// one that failed in an hour.
func (s *session) backupDue(tx *storage.Tx, id int64, now time.Time) (h storage.Household, due bool, err error) {
	if h, err = tx.Household(id); err != nil {
		return h, false, err
	}
	last, any, err := tx.LastBackup(id, false)
	switch {
	case err != nil || !any:
		return h, err == nil, err
	case filepath.Dir(last.File) != s.store.Folder(h.Backup.Folder) && last.File != s.store.Folder(h.Backup.Folder): // it was another folder
		return h, true, nil
	case last.Failed != "":
		return h, !now.Before(last.At.Add(tryAgain)), nil
	}
	schedule, err := reminders.Parse(h.Backup.Schedule, h.Zone)
	if err != nil {
		return h, false, err
	}
	return h, !schedule.Next(last.At).After(now), nil
}

// tellBackup notes what came of a backup. Keepers hear of an error once, and once when
// it is over.
func tellBackup(tx *storage.Tx, h storage.Household, b storage.Backup, alone bool) (told bool, err error) {
	last, any, err := tx.LastBackup(h.ID, false)
	if err != nil {
		return false, err
	}
	if err := tx.AddBackup(b); err != nil {
		return false, err
	}
	failed := any && last.Failed != ""
	switch {
	case b.Failed != "" && failed:
		return false, nil
	case b.Failed != "":
		return true, tellKeepers(tx, h, storage.Message{At: b.At, Head: "The backup failed: " + b.Failed + ".", Lines: []string{
			"I try again every hour, and say when it works.", "To change it: house backup daily 03:00 to FOLDER",
		}})
	case failed:
		told, err = true, tellKeepers(tx, h, storage.Message{At: b.At, Head: "The backup works again: " + b.File})
	}
	if err != nil || h.Backup.To == 0 || !alone { // the file holds other households' records too
		return told, err
	}
	sent, err := sendCopy(tx, h, b)
	return told || sent, err
}

// sendCopy sends a copy to the keeper who asked for it, in a chat of their own and
// nowhere else.
func sendCopy(tx *storage.Tx, h storage.Household, b storage.Backup) (sent bool, err error) {
	people, err := tx.People(h.ID)
	if err != nil {
		return false, err
	}
	for _, p := range people {
		if p.ID != h.Backup.To || !p.Keeper || p.Gone {
			continue
		}
		chat, err := tx.PrivateOf(h.ID, p.Name)
		if err != nil || chat == "" {
			return false, err
		}
		m := storage.Message{At: b.At, Kind: storage.KindRing, To: p.Name, Head: "The backup of " + reminders.Wall(b.At, h.Zone).Format("Mon 2 Jan 15:04") + "."}
		if b.Bytes > mostSent {
			m.Lines = []string{fmt.Sprintf("It is too large for a chat (%d MB) and lies in %s.", b.Bytes>>20, b.File)}
		} else {
			m.Files = []storage.File{{Name: filepath.Base(b.File), Type: "application/octet-stream", Copy: b.File}}
		}
		return true, tx.Post(h.ID, 0, m)
	}
	return false, nil
}

// tellKeepers tells each keeper in a chat of their own, and the household where none has
// one.
func tellKeepers(tx *storage.Tx, h storage.Household, m storage.Message) error {
	people, err := tx.People(h.ID)
	if err != nil {
		return err
	}
	told := false
	for _, p := range people {
		if !p.Keeper || p.Gone {
			continue
		}
		chat, err := tx.PrivateOf(h.ID, p.Name)
		if err != nil {
			return err
		}
		if chat == "" {
			continue
		}
		told = true
		m.Kind, m.To = storage.KindRing, p.Name
		if err := tx.Post(h.ID, 0, m); err != nil {
			return err
		}
	}
	if told {
		return nil
	}
	m.Kind, m.To = storage.KindNotice, ""
	return tx.Post(h.ID, 0, m)
}

// sayBackups tells how the backups of the file's households stand, and whether that
// wants looking after.
func (s *session) sayBackups() (ill bool, err error) {
	err = s.store.Do(s.app.ctx, func(tx *storage.Tx) error {
		ids, err := tx.BackedUp()
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			fmt.Fprintln(s.app.out, "backup     none is made by itself; a keeper can type: house backup daily 03:00 to FOLDER")
		}
		for _, id := range ids {
			bad, err := s.sayBackup(tx, id)
			if err != nil {
				return err
			}
			ill = ill || bad
		}
		return nil
	})
	return ill, err
}

func (s *session) sayBackup(tx *storage.Tx, id int64) (ill bool, err error) {
	h, err := tx.Household(id)
	if err != nil {
		return false, err
	}
	last, any, err := tx.LastBackup(id, true)
	if err != nil {
		return false, err
	}
	newest, _, err := tx.LastBackup(id, false)
	if err != nil {
		return false, err
	}
	say := func(at time.Time) string { return at.In(h.Zone).Format("Mon 2006-01-02 15:04") }
	if any {
		fmt.Fprintf(s.app.out, "backup     last %s, %d bytes, %s\n", say(last.At), last.Bytes, last.File)
	} else {
		fmt.Fprintf(s.app.out, "backup     none was made yet\n")
	}
	if newest.Failed != "" {
		fmt.Fprintf(s.app.out, "           failed %s: %s\n           what to do: make the folder writable, or name another: house backup daily 03:00 to FOLDER\n", say(newest.At), newest.Failed)
		return true, nil
	}
	schedule, err := reminders.Parse(h.Backup.Schedule, h.Zone)
	if err != nil || !any {
		return false, err
	}
	if next := schedule.Next(last.At); s.now().Sub(next) > 24*time.Hour {
		fmt.Fprintf(s.app.out, "           overdue since %s\n           what to do: keep yardbell chat or yardbell serve running; the backup is theirs to make\n", say(next))
		return true, nil
	}
	return false, nil
}
