package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"
	"unicode/utf8"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/handlers"
	"yardbell/storage"
)

// Files that come with a line are fetched next to the taking of updates, so that
// a slow one holds up nobody else: the line is kept in the file until then.
const (
	maxDocument  = 20 << 20 // bytes; the service gives out no more
	perDocument  = time.Minute
	documentLast = time.Hour // how long one is tried for
)

// withDocument keeps a line whose ask takes a file, until that is fetched. Of any
// other line the file is nothing to us.
func (s *Service) withDocument(ctx context.Context, household int64, line handlers.Heard, d *models.Document) (later bool, err error) {
	takes, err := s.cfg.Roster.TakesFile(ctx, s.cfg.Store, line)
	if err != nil || !takes {
		return false, err
	}
	if d.FileSize > maxDocument {
		return true, s.ask(ctx, household, line, noFile(fmt.Sprintf("it is larger than %d MB", maxDocument>>20)))
	}
	body, err := json.Marshal(parcel{line.Line, line})
	if err != nil {
		return true, err
	}
	err = s.do(ctx, func(tx *storage.Tx) error {
		return tx.AddDocument(household, line.Ext, d.FileID, string(body), s.cfg.Now())
	})
	s.wantFiles()
	return true, err
}

// parcel is a line as it is kept until its file is there; its two halves apart, so
// that no field of the one hides one of the other.
type parcel struct {
	Line  storage.Line
	Heard handlers.Heard
}

func unpack(d storage.Document) (handlers.Heard, error) {
	var p parcel
	if err := json.Unmarshal([]byte(d.Line), &p); err != nil {
		return handlers.Heard{}, fmt.Errorf("document %d: %w", d.ID, err)
	}
	p.Heard.Line = p.Line
	return p.Heard, nil
}

func noFile(why string) answer {
	return func(*storage.Tx, []storage.Person) (storage.Message, error) {
		return storage.Message{Status: storage.Refused, Head: "The file could not be read: " + why + ". Nothing was written."}, nil
	}
}

func (s *Service) wantFiles() {
	select {
	case s.wanted <- struct{}{}:
	default:
	}
}

// fetchLoop fetches the files that lines wait for, those of an earlier run too.
func (s *Service) fetchLoop(ctx context.Context) {
	for wait := time.Duration(0); ; {
		var again <-chan time.Time
		if s.fetchAll(ctx) {
			wait = min(max(2*wait, s.retry()), time.Minute)
			again = time.After(wait)
		}
		select {
		case <-ctx.Done():
			return
		case <-s.wanted:
			wait = 0
		case <-again:
		}
	}
}

// retry is the wait after a first error.
func (s *Service) retry() time.Duration {
	if s.cfg.Retry > 0 {
		return s.cfg.Retry
	}
	return time.Second
}

// fetchAll tries each file that is waited for once, and reports whether any has to
// be tried again.
func (s *Service) fetchAll(ctx context.Context) (waiting bool) {
	var all []storage.Document
	err := s.do(ctx, func(tx *storage.Tx) (err error) { all, err = tx.Documents(); return err })
	for _, d := range all {
		err = errors.Join(err, s.fetchOne(ctx, d))
	}
	if err != nil && ctx.Err() == nil {
		s.cfg.Log.Warn("a file could not be fetched; it is tried again", "err", s.hide(err))
	}
	return err != nil
}

// fetchOne fetches a file and hands the line to the desks with it. One that cannot
// be had is told, and nothing else is done with the line.
func (s *Service) fetchOne(ctx context.Context, d storage.Document) error {
	line, err := unpack(d)
	if err != nil {
		return err
	}
	text, err := s.download(ctx, d.File)
	if err != nil && ctx.Err() == nil && s.cfg.Now().Sub(d.At) > documentLast {
		err = unreadable("the service does not give it out. Send it again")
	}
	var never unreadable
	switch {
	case errors.As(err, &never):
		err = s.ask(ctx, d.Household, line, noFile(string(never)))
	case err == nil:
		line.File = text
		err = s.guarded(d.ID, func() error { _, err := s.hear(ctx, line); return err })
	}
	if err != nil {
		return err
	}
	return s.do(ctx, func(tx *storage.Tx) error { return tx.DropDocument(d.ID) })
}

// unreadable is a file that trying again cannot help, and why.
type unreadable string

func (u unreadable) Error() string { return string(u) }

func (s *Service) download(ctx context.Context, file string) (string, error) {
	ctx, stop := context.WithTimeout(ctx, perDocument)
	defer stop()
	f, err := s.api.GetFile(ctx, &tg.GetFileParams{FileID: file})
	if errors.Is(err, tg.ErrorBadRequest) {
		return "", unreadable("the service does not have it")
	}
	if err != nil {
		return "", err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, s.api.FileDownloadLink(f), nil)
	if err != nil {
		return "", err
	}
	resp, err := s.gate.client.Do(req)
	if err != nil {
		return "", err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return "", fmt.Errorf("the service answered %d for a file", resp.StatusCode)
	}
	body, err := io.ReadAll(io.LimitReader(resp.Body, maxDocument+1))
	switch {
	case err != nil:
		return "", err
	case len(body) > maxDocument:
		return "", unreadable(fmt.Sprintf("it is larger than %d MB", maxDocument>>20))
	case len(body) == 0:
		return "", unreadable("it is empty")
	case !utf8.Valid(body):
		return "", unreadable("it is no text")
	}
	return string(body), nil
}
