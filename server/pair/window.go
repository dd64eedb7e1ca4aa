package pair

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"sync"
	"time"
)

// A window is open for so long and for so many wrong proofs.
const (
	WindowTime  = 5 * time.Minute
	WindowTries = 5
)

const (
	nonceSize   = 16 // bytes
	pictureText = 26 // characters of the secret in the picture: 128 bits
	typedText   = 10 // of the one to type: 50 bits
)

// What a phone hears that is not let in.
var (
	errShut    = errors.New("nobody is adding a phone now, or the time is up: open a new code on the laptop")
	errProof   = errors.New("that is not the code the laptop shows")
	errTwo     = errors.New("two phones used the same code, so neither is let in: open a new one on the laptop")
	errRefused = errors.New("it was refused on the laptop")
)

// A Window is the time in which one phone may be added. It keeps its secrets in
// memory alone. It is safe for concurrent use; the zero Window is shut.
type Window struct {
	mu     sync.Mutex
	until  time.Time // zero when shut
	secret []string  // the one in the picture, the one to type
	failed int
	knock  *knock
	over   error // why it was shut; nil if its time was up or it did its work
}

// A knock is a phone that has shown that it knows the secret.
type knock struct {
	id, name, code string
	confirmed      bool
}

// A View is what the laptop's page shows of a window.
type View struct {
	Open           bool
	Until          time.Time
	Picture, Typed string // secrets; "" once a phone has knocked
	ID, Name, Code string // of the phone that has
	Confirmed      bool
	Over           string // why the last one was shut; "" for nothing to say
}

// Open opens a window in place of the last.
func (w *Window) Open(now time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.until, w.failed, w.knock, w.over = now.Add(WindowTime), 0, nil, nil
	w.secret = []string{randomText(pictureText), randomText(typedText)}
}

// randomText returns n letters and digits of base32 (RFC 4648), five bits each.
func randomText(n int) string {
	b := make([]byte, (n*5+7)/8)
	rand.Read(b) // never fails
	return base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b)[:n]
}

// open reports whether the window is open, and shuts it when its time is up.
func (w *Window) open(now time.Time) bool {
	if !w.until.IsZero() && !now.Before(w.until) {
		w.shut(nil)
	}
	return !w.until.IsZero()
}

func (w *Window) shut(why error) {
	w.until, w.secret, w.knock, w.over = time.Time{}, nil, nil, why
}

// Shut shuts the window.
func (w *Window) Shut() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.shut(nil)
}

// View returns what there is to see.
func (w *Window) View(now time.Time) View {
	w.mu.Lock()
	defer w.mu.Unlock()
	v := View{Open: w.open(now), Until: w.until}
	if w.over != nil {
		v.Over = w.over.Error()
	}
	switch k := w.knock; {
	case !v.Open:
	case k != nil:
		v.ID, v.Name, v.Code, v.Confirmed = k.id, k.name, k.code, k.confirmed
	default:
		v.Picture, v.Typed = w.secret[0], w.secret[1]
	}
	return v
}

// Knock takes a phone's proof that it knows the secret. It returns a name for
// what follows, which is the phone's secret, and the laptop's nonce.
func (w *Window) Knock(name string, nonce, proof []byte, now time.Time) (id string, answer []byte, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.open(now) {
		return "", nil, errShut
	}
	known := ""
	for _, secret := range w.secret {
		if len(nonce) == nonceSize && hmac.Equal(proof, Proof(secret, nonce)) {
			known = secret
		}
	}
	if known == "" {
		if w.failed++; w.failed >= WindowTries {
			w.shut(fmt.Errorf("%d attempts were made with a wrong code", WindowTries))
		}
		return "", nil, errProof
	}
	if w.knock != nil {
		w.shut(errTwo)
		return "", nil, errTwo
	}
	answer = make([]byte, nonceSize)
	rand.Read(answer) // never fails
	w.knock = &knock{id: randomText(pictureText), name: name, code: Code(known, nonce, answer)}
	return w.knock.id, answer, nil
}

// Proof is what a phone that knows the secret makes of its nonce.
func Proof(secret string, nonce []byte) []byte {
	return mac(secret, "ampwright knock\n", nonce)
}

// Code is the six digits that both sides show.
func Code(secret string, phone, laptop []byte) string {
	m := mac(secret, "ampwright code\n", phone, laptop)
	return fmt.Sprintf("%06d", binary.BigEndian.Uint32(m)%1e6)
}

func mac(secret, what string, parts ...[]byte) []byte {
	m := hmac.New(sha256.New, []byte(secret))
	m.Write([]byte(what))
	for _, p := range parts {
		m.Write(p)
	}
	return m.Sum(nil)
}

// Answer is the person's at the laptop about the phone of that id: are the six
// digits the same?
func (w *Window) Answer(id string, same bool, now time.Time) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch {
	case !w.open(now) || w.knock == nil || w.knock.id != id:
		return errShut
	case same:
		w.knock.confirmed = true
	default:
		w.shut(errRefused)
	}
	return nil
}

// Collect tells the phone of that id whether it is let in yet. When it is, the
// window has done its work and shuts.
func (w *Window) Collect(id string, now time.Time) (name string, in bool, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch k := w.knock; {
	case w.over != nil:
		return "", false, w.over
	case !w.open(now) || k == nil || !hmac.Equal([]byte(k.id), []byte(id)):
		return "", false, errShut
	case !k.confirmed:
		return "", false, nil
	default:
		w.shut(nil)
		return k.name, true, nil
	}
}

// parseHex reads the hexadecimal digits of a nonce or a proof.
func parseHex(what, text string, size int) ([]byte, error) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != size {
		return nil, fmt.Errorf("%s of %d characters, want %d hexadecimal digits", what, len(text), 2*size)
	}
	return b, nil
}
