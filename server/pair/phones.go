package pair

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"
	"time"

	"github.com/google/uuid"
)

const (
	phonesFile   = "phones.json"
	phonesFormat = "ampwright-phones/1"
	maxPhones    = 32
	tokenSize    = 32 // bytes
)

// A Phone may read and write the garage from the local network.
type Phone struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Sum     []byte    `json:"sum"` // SHA-256 of its token
	Paired  time.Time `json:"paired"`
	Last    time.Time `json:"last"`             // contact; on disk to the minute
	Replica uuid.UUID `json:"replica,omitzero"` // its logbook writes under

	ctx  context.Context // over when it is struck off
	drop context.CancelFunc
	open int // sockets
}

// Phones are those of one garage. They are safe for concurrent use.
type Phones struct {
	dir string

	mu   sync.Mutex
	list []*Phone
	kept time.Time // the latest contact on disk
}

// phonesJSON is Phones on disk.
type phonesJSON struct {
	Format string   `json:"format"`
	Phones []*Phone `json:"phones"`
}

// ReadPhones returns the phones kept in dir: none where there is no file.
func ReadPhones(dir string) (*Phones, error) {
	p, j := &Phones{dir: dir}, phonesJSON{Format: phonesFormat}
	if err := read(dir, phonesFile, &j); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if j.Format != phonesFormat {
		return nil, fmt.Errorf("read %s: format %q, want %q", phonesFile, j.Format, phonesFormat)
	}
	p.list = j.Phones
	for i, f := range p.list {
		if f == nil || len(f.Sum) != sha256.Size {
			return nil, fmt.Errorf("read %s: phone %d has no sum of %d bytes", phonesFile, i+1, sha256.Size)
		}
		f.ctx, f.drop = context.WithCancel(context.Background())
	}
	return p, nil
}

func (p *Phones) write() error { return write(p.dir, phonesFile, phonesJSON{phonesFormat, p.list}) }

// List returns copies of all phones, the one added last first.
func (p *Phones) List() (list []Phone) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range slices.Backward(p.list) {
		list = append(list, *f)
	}
	return list
}

// Add lets a phone in and returns its token, which is kept nowhere here.
func (p *Phones) Add(name string, now time.Time) (token string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.list) >= maxPhones {
		return "", fmt.Errorf("%d phones are paired, at most %d are possible: take one off the list first", len(p.list), maxPhones)
	}
	secret := make([]byte, tokenSize)
	rand.Read(secret) // never fails
	token = base64.RawURLEncoding.EncodeToString(secret)
	sum := sha256.Sum256([]byte(token))
	f := &Phone{ID: randomText(pictureText), Name: name, Sum: sum[:], Paired: now.Truncate(time.Second), Last: now.Truncate(time.Second)}
	f.ctx, f.drop = context.WithCancel(context.Background())
	p.list = append(p.list, f)
	if err := p.write(); err != nil {
		p.list = p.list[:len(p.list)-1]
		return "", err
	}
	return token, nil
}

// Enter returns the phone that a token belongs to and a context that is over when
// it loses it. All phones are compared, each in the same time.
func (p *Phones) Enter(token string, now time.Time) (Phone, context.Context, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	sum := sha256.Sum256([]byte(token))
	var found *Phone
	for _, f := range p.list {
		if subtle.ConstantTimeCompare(f.Sum, sum[:]) == 1 {
			found = f
		}
	}
	if found == nil {
		return Phone{}, nil, false
	}
	found.Last = now.Truncate(time.Second)
	if found.Last.Sub(p.kept) >= time.Minute {
		if p.write() == nil { // the next contact tries again
			p.kept = found.Last
		}
	}
	return *found, found.ctx, true
}

// Bind notes which replica a phone's logbook writes under.
func (p *Phones) Bind(id string, replica uuid.UUID) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.list {
		if f.ID == id {
			if f.Replica == replica {
				return nil
			}
			f.Replica = replica
			return p.write()
		}
	}
	return errors.New("this phone was taken off the list")
}

// Drop takes their tokens from the phones that gone names, and ends what they
// have open. On an error they have lost them until the program ends.
func (p *Phones) Drop(gone func(Phone) bool) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	before := len(p.list)
	p.list = slices.DeleteFunc(p.list, func(f *Phone) bool {
		if !gone(*f) {
			return false
		}
		f.drop()
		return true
	})
	if n := before - len(p.list); n > 0 {
		return n, p.write()
	}
	return 0, nil
}

// socket notes that a phone has one socket more, or less.
func (p *Phones) socket(id string, by int) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.list {
		if f.ID == id {
			if f.open+by > maxSockets {
				return false
			}
			f.open += by
		}
	}
	return true
}
