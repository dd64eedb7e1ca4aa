package garage

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/netip"
	"time"

	"ampwright/model"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// answerWithin is how long the process that serves may take to show that it is
// there, workWithin to do what it is asked: a long logbook takes a while.
const (
	answerWithin = time.Second
	workWithin   = time.Minute
)

// A Remote is a garage that another process on this computer has open and
// serves. It is not for concurrent use.
type Remote struct {
	address string
	token   string
	client  *http.Client
	zone    *time.Location
	fold    *model.Logbook
	now     time.Time // of the server, when it last sent the logbook
}

// Attach reaches the process that serves the garage in dir, as its note there
// says, and fetches the logbook. It goes to no address but a loopback one. The
// server's moments are told in zone.
func Attach(dir string, zone *time.Location) (*Remote, error) {
	h, err := bolt.ReadHolder(dir)
	if err != nil {
		return nil, err
	}
	if err := CheckLoopback(h.Address); err != nil {
		return nil, err
	}
	probe, err := newClient(answerWithin).Get("http://" + h.Address + "/api/")
	if err != nil {
		return nil, fmt.Errorf("it does not answer: %w", err)
	}
	probe.Body.Close()
	r := &Remote{address: h.Address, token: h.Token, client: newClient(workWithin), zone: zone}
	if err := r.load(); err != nil {
		return nil, err
	}
	return r, nil
}

// newClient returns a client that goes nowhere but where it is sent: through no
// proxy and after no redirect, for it carries the token.
func newClient(patience time.Duration) *http.Client {
	return &http.Client{
		Timeout:       patience,
		Transport:     &http.Transport{DisableKeepAlives: true},
		CheckRedirect: func(*http.Request, []*http.Request) error { return errors.New("it sends us elsewhere") },
	}
}

// CheckLoopback refuses an address that is not a loopback one by number, with a
// port.
func CheckLoopback(address string) error {
	if a, err := netip.ParseAddrPort(address); err != nil || !a.Addr().IsLoopback() {
		return fmt.Errorf("%q is not an address of this computer alone: want 127.0.0.1 or [::1] and a port, such as 127.0.0.1:7341", address)
	}
	return nil
}

// load fetches the logbook.
func (r *Remote) load() error {
	resp, err := r.ask(http.MethodGet, "/api/lines", nil)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	raws, seals, err := lines.Read(resp.Body)
	if err != nil {
		return fmt.Errorf("read the logbook from %s: %w", r.address, err)
	}
	r.fold = model.NewLogbook()
	r.fold.ReadPlans(plan.Load)
	r.fold.Grow(len(raws))
	for _, raw := range raws {
		if _, err := r.fold.Add(raw); err != nil {
			return fmt.Errorf("read the logbook from %s: %w", r.address, err)
		}
	}
	for _, s := range seals {
		if err := r.fold.AddSeal(s); err != nil {
			return fmt.Errorf("read the logbook from %s: %w", r.address, err)
		}
	}
	at, err := http.ParseTime(resp.Header.Get("Date"))
	if err != nil {
		return fmt.Errorf("read the clock of %s: %w", r.address, err)
	}
	r.now = at.In(r.zone)
	return nil
}

// ask sends a request, see askUntil.
func (r *Remote) ask(method, path string, body io.Reader) (*http.Response, error) {
	return r.askUntil(context.Background(), method, path, body)
}

// askUntil sends a request, which is over when ctx is. An answer that is no success is an error: a
// [*model.WishError] where values were refused.
func (r *Remote) askUntil(ctx context.Context, method, path string, body io.Reader) (*http.Response, error) {
	req, err := http.NewRequestWithContext(ctx, method, "http://"+r.address+path, body)
	if err != nil {
		return nil, err
	}
	req.Header.Set("Authorization", "Bearer "+r.token)
	resp, err := r.client.Do(req)
	if err != nil {
		return nil, err
	}
	if resp.StatusCode == http.StatusOK {
		return resp, nil
	}
	defer resp.Body.Close()
	var answer struct {
		Errors []*model.FieldError `json:"errors"`
	}
	err = json.NewDecoder(io.LimitReader(resp.Body, 1<<20)).Decode(&answer)
	switch {
	case err != nil || len(answer.Errors) == 0:
		return nil, fmt.Errorf("%s answers %s", r.address, resp.Status)
	case resp.StatusCode == http.StatusUnprocessableEntity:
		return nil, &model.WishError{Fields: answer.Errors}
	}
	return nil, fmt.Errorf("%s answers %s: %w", r.address, resp.Status, &model.WishError{Fields: answer.Errors})
}

// post sends what and reads the answer into to.
func (r *Remote) post(path string, body io.Reader, to any) error {
	resp, err := r.ask(http.MethodPost, path, body)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if err := json.NewDecoder(resp.Body).Decode(to); err != nil {
		return fmt.Errorf("read the answer of %s to %s: %w", r.address, path, err)
	}
	return nil
}

// Do has the server write down what is wished.
func (r *Remote) Do(build uuid.UUID, w model.Wish, person string) (book.Outcome, error) {
	ask := struct {
		Build  string              `json:"build"`
		Wish   string              `json:"wish"`
		Values map[string][]string `json:"values"`
		Person string              `json:"person"`
		Rows   []model.Row         `json:"rows,omitempty"`
	}{"", w.Name, w.Values, person, w.Rows}
	if build != uuid.Nil {
		ask.Build = build.String()
	}
	body, err := json.Marshal(ask)
	if err != nil {
		return book.Outcome{}, err
	}
	var answer wished
	if err := r.post("/api/wish", bytes.NewReader(body), &answer); err != nil {
		return book.Outcome{}, err
	}
	if err := r.load(); err != nil {
		return book.Outcome{}, fmt.Errorf("written down, but: %w", err)
	}
	return r.outcome(answer)
}

// wished is the server's answer to a wish.
type wished struct {
	Build   string   `json:"build"`
	Entries []string `json:"entries"`
	Raised  []struct {
		Key  string            `json:"key"`
		Kind model.FindingKind `json:"kind"`
		Text string            `json:"text"`
	} `json:"raised"`
	Stale []struct {
		Check string `json:"check"`
	} `json:"stale"`
}

// outcome looks up what the answer names.
func (r *Remote) outcome(a wished) (book.Outcome, error) {
	var out book.Outcome
	for _, name := range a.Entries {
		id, err := model.ParseID(name)
		if err != nil {
			return out, fmt.Errorf("%s answers %w", r.address, err)
		}
		out.Entries = append(out.Entries, id)
	}
	if a.Build == "" {
		return out, nil
	}
	var err error
	if out.Build, err = uuid.Parse(a.Build); err != nil {
		return out, fmt.Errorf("%s answers with build %q: %w", r.address, a.Build, err)
	}
	b, err := r.fold.Build(out.Build, r.now, plan.Builtin)
	if err != nil {
		return out, err
	}
	findings := map[string]*model.Finding{}
	for _, f := range b.Findings {
		findings[f.Key] = f
	}
	for _, f := range a.Raised {
		if findings[f.Key] == nil { // gone again
			findings[f.Key] = &model.Finding{Key: f.Key, Kind: f.Kind, Text: f.Text, Open: true}
		}
		out.Raised = append(out.Raised, findings[f.Key])
	}
	for _, s := range a.Stale {
		if c := b.Check(s.Check); c != nil {
			out.Stale = append(out.Stale, c)
		}
	}
	return out, nil
}

// Read calls f with the logbook as it was fetched last: when the server was
// reached, and after everything that was written since.
func (r *Remote) Read(f func(*model.Logbook) error) error { return f(r.fold) }

// Import has the server store entries and their seals, all or none. A seal whose
// chain does not begin among raws is refused there.
func (r *Remote) Import(raws [][]byte, seals ...model.Seal) (int, error) {
	var body bytes.Buffer
	err := lines.Write(&body, func(yield func([]byte) error) error {
		for _, raw := range raws {
			if err := yield(raw); err != nil {
				return err
			}
		}
		return nil
	}, seals...)
	if err != nil {
		return 0, err
	}
	var answer struct {
		Added int `json:"added"`
	}
	err = r.post("/api/lines", &body, &answer)
	if refused := new(model.WishError); errors.As(err, &refused) {
		return 0, errors.New(refused.Error()) // of a file, not of what somebody typed
	}
	if err != nil {
		return 0, err
	}
	return answer.Added, r.load()
}

// Now returns the moment by the server's clock, when it last sent the logbook.
func (r *Remote) Now() time.Time { return r.now }

// Close does nothing: the server goes on.
func (r *Remote) Close() error { return nil }
