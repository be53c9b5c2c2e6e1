package apiserver

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode/utf16"
)

// call does one call and returns its result, or how it is refused.
func (s *Server) call(method string, p fields) (result any, code int, description string, more map[string]any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	chat := p.int64("chat_id")
	now := time.Now()
	s.calls = append(s.calls, Call{Method: method, Chat: chat, Text: p["text"], At: now, Waited: now.Before(s.waits[chat])})
	switch method {
	case "getMe":
		return map[string]any{"id": Bot, "is_bot": true, "first_name": "Yardbell", "username": "yardbell_test_bot", "can_read_all_group_messages": !s.Privacy}, 0, "", nil
	case "setWebhook":
		s.hookURL, s.hookSecret = p["url"], p["secret_token"]
		s.wake()
		return true, 0, "", nil
	case "deleteWebhook":
		s.hookURL = ""
		return true, 0, "", nil
	case "setMyCommands":
		s.Commands = p["commands"]
		return true, 0, "", nil
	case "getFile":
		if _, ok := s.files[p["file_id"]]; !ok {
			return nil, 400, "Bad Request: wrong file_id", nil
		}
		return map[string]any{"file_id": p["file_id"], "file_unique_id": "u", "file_path": p["file_id"]}, 0, "", nil
	case "answerCallbackQuery":
		return s.answerQuery(p)
	}
	if to, ok := s.movedTo[chat]; ok {
		return nil, 400, "Bad Request: group chat was upgraded to a supergroup chat", map[string]any{"migrate_to_chat_id": to}
	}
	switch kind, in := s.chats[chat]; {
	case !in:
		return nil, 400, "Bad Request: chat not found", nil
	case s.gone[chat]:
		return nil, 403, "Forbidden: bot was kicked from the " + kind + " chat", nil
	}
	if description := s.tooMany(method, chat, now); description > 0 {
		s.waits[chat] = now.Add(time.Duration(description) * time.Second)
		return nil, 429, fmt.Sprintf("Too Many Requests: retry after %d", description), map[string]any{"retry_after": description}
	}
	if thread := p.int64("message_thread_id"); thread != 0 && !s.topics[chat][thread] {
		return nil, 400, "Bad Request: message thread not found", nil
	}
	switch method {
	case "getChatMember":
		return map[string]any{"status": "member", "user": map[string]any{"id": Bot, "is_bot": true, "first_name": "Yardbell"}}, 0, "", nil
	case "sendMessage":
		return s.sendMessage(chat, p, now)
	case "editMessageText", "editMessageReplyMarkup":
		return s.edit(method, chat, p)
	case "setMessageReaction":
		return s.react(chat, p)
	case "sendDocument", "sendPhoto":
		name := p["document"] + p["photo"]
		if name == "" {
			return nil, 400, "Bad Request: there is no document in the request", nil
		}
		if method == "sendPhoto" && !strings.HasPrefix(p["photo.type"], "image/") {
			return nil, 400, "Bad Request: IMAGE_PROCESS_FAILED", nil
		}
		if units(p["caption"]) > 1024 {
			return nil, 400, "Bad Request: message caption is too long", nil
		}
		m := s.keep(chat, p, now)
		m.Document = name
		return s.shownAs(m), 0, "", nil
	}
	return nil, 404, "Not Found: method not found", nil
}

func (s *Server) tooMany(method string, chat int64, now time.Time) int {
	if s.PerMinute == 0 || chat > 0 || method == "setMessageReaction" {
		return 0
	}
	var recent []time.Time
	for _, t := range s.recent[chat] {
		if now.Sub(t) < time.Minute {
			recent = append(recent, t)
		}
	}
	if len(recent) >= s.PerMinute {
		return int(recent[0].Add(time.Minute).Sub(now)/time.Second) + 1
	}
	s.recent[chat] = append(recent, now)
	return 0
}

func (s *Server) answerQuery(p fields) (any, int, string, map[string]any) {
	done, known := s.queries[p["callback_query_id"]]
	if !known || done {
		return nil, 400, "Bad Request: query is too old and response timeout expired or query ID is invalid", nil
	}
	if units(p["text"]) > 200 {
		return nil, 400, "Bad Request: MESSAGE_TOO_LONG", nil
	}
	s.queries[p["callback_query_id"]] = true
	s.told = append(s.told, p["text"])
	s.wake()
	return true, 0, "", nil
}

func (s *Server) sendMessage(chat int64, p fields, now time.Time) (any, int, string, map[string]any) {
	plain, bad := read(p["text"], p["parse_mode"])
	switch {
	case bad != "":
		return nil, 400, "Bad Request: can't parse entities: " + bad, nil
	case strings.TrimSpace(plain) == "":
		return nil, 400, "Bad Request: message text is empty", nil
	case units(plain) > 4096:
		return nil, 400, "Bad Request: message is too long", nil
	}
	if _, bad := buttons(p["reply_markup"]); bad != "" {
		return nil, 400, "Bad Request: " + bad, nil
	}
	m := s.keep(chat, p, now)
	m.Plain = plain
	return s.shownAs(m), 0, "", nil
}

func (s *Server) keep(chat int64, p fields, now time.Time) *Message {
	s.lastMsg++
	m := &Message{ID: s.lastMsg, Chat: chat, Text: p["text"], Thread: int(p.int64("message_thread_id")), At: now}
	m.Buttons, _ = buttons(p["reply_markup"])
	var reply struct {
		ID int `json:"message_id"`
	}
	_ = json.Unmarshal([]byte(p["reply_parameters"]), &reply)
	m.ReplyTo = reply.ID
	s.messages[chat] = append(s.messages[chat], m)
	s.wake()
	return m
}

func (s *Server) shownAs(m *Message) map[string]any {
	return map[string]any{"message_id": m.ID, "date": m.At.Unix(), "chat": map[string]any{"id": m.Chat, "type": s.chats[m.Chat]}, "text": m.Plain}
}

func (s *Server) edit(method string, chat int64, p fields) (any, int, string, map[string]any) {
	var found *Message
	for _, m := range s.messages[chat] {
		if m.ID == int(p.int64("message_id")) {
			found = m
		}
	}
	if found == nil {
		return nil, 400, "Bad Request: message to edit not found", nil
	}
	rows, bad := buttons(p["reply_markup"])
	if bad != "" {
		return nil, 400, "Bad Request: " + bad, nil
	}
	text, plain := found.Text, found.Plain
	if method == "editMessageText" {
		text = p["text"]
		if plain, bad = read(text, p["parse_mode"]); bad != "" {
			return nil, 400, "Bad Request: can't parse entities: " + bad, nil
		}
		if strings.TrimSpace(plain) == "" || units(plain) > 4096 {
			return nil, 400, "Bad Request: MESSAGE_TOO_LONG", nil
		}
	}
	if text == found.Text && fmt.Sprint(rows) == fmt.Sprint(found.Buttons) {
		return nil, 400, "Bad Request: message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message", nil
	}
	found.Text, found.Plain, found.Buttons, found.Edited = text, plain, rows, found.Edited+1
	s.wake()
	return s.shownAs(found), 0, "", nil
}

func (s *Server) react(chat int64, p fields) (any, int, string, map[string]any) {
	var all []struct {
		Type  string `json:"type"`
		Emoji string `json:"emoji"`
	}
	if err := json.Unmarshal([]byte(p["reaction"]), &all); err != nil || len(all) != 1 || all[0].Type != "emoji" || all[0].Emoji != "👍" {
		return nil, 400, "Bad Request: REACTION_INVALID", nil
	}
	s.reactions[fmt.Sprint(chat, ":", p.int64("message_id"))] = all[0].Emoji
	s.wake()
	return true, 0, "", nil
}

func units(s string) int { return len(utf16.Encode([]rune(s))) }

func buttons(markup string) ([][]Button, string) {
	if markup == "" {
		return nil, ""
	}
	var m struct {
		Rows [][]Button `json:"inline_keyboard"`
	}
	if err := json.Unmarshal([]byte(markup), &m); err != nil {
		return nil, "object expected as reply markup"
	}
	for _, row := range m.Rows {
		for _, b := range row {
			switch {
			case b.Text == "":
				return nil, "inline keyboard button text can't be empty"
			case len(b.Data) == 0 || len(b.Data) > 64:
				return nil, "BUTTON_DATA_INVALID"
			}
		}
	}
	return m.Rows, ""
}

var tag = regexp.MustCompile(`^<(/?)(b|i|u|s|code|pre|blockquote)>`)

// read takes the markup out of a text, strictly: an open tag, a stray sign or an
// unknown entity is refused.
func read(text, mode string) (plain, bad string) {
	if mode == "" {
		return text, ""
	}
	if mode != "HTML" {
		return "", "unsupported parse_mode"
	}
	var out strings.Builder
	var open []string
	for i := 0; i < len(text); {
		switch text[i] {
		case '<':
			m := tag.FindStringSubmatch(text[i:])
			if m == nil {
				return "", fmt.Sprintf("unsupported start tag at byte offset %d", i)
			}
			if m[1] == "" {
				open = append(open, m[2])
			} else if len(open) == 0 || open[len(open)-1] != m[2] {
				return "", fmt.Sprintf("unmatched end tag at byte offset %d", i)
			} else {
				open = open[:len(open)-1]
			}
			i += len(m[0])
		case '>':
			return "", fmt.Sprintf("unexpected > at byte offset %d", i)
		case '&':
			end := strings.IndexByte(text[i:], ';')
			if end < 0 {
				return "", fmt.Sprintf("unescaped & at byte offset %d", i)
			}
			switch name := text[i+1 : i+end]; {
			case name == "lt":
				out.WriteByte('<')
			case name == "gt":
				out.WriteByte('>')
			case name == "amp":
				out.WriteByte('&')
			case name == "quot":
				out.WriteByte('"')
			case name == "#39":
				out.WriteByte('\'')
			case name == "#34":
				out.WriteByte('"')
			default:
				return "", "unknown entity &" + name
			}
			i += end + 1
		default:
			out.WriteByte(text[i])
			i++
		}
	}
	if len(open) > 0 {
		return "", "can't find end tag corresponding to start tag " + open[len(open)-1]
	}
	return out.String(), ""
}
