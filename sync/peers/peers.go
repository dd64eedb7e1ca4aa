// Package peers remembers what other devices were last heard to hold, so that a
// person can be told where an entry is kept. It is a memory of what was said,
// which may be out of date: what to send is never worked out from it.
package peers

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"ampwright/model"
	"ampwright/model/jsontext"

	"github.com/google/uuid"
)

// Peers are devices by the names of their replicas. The zero Peers know none.
// They are safe for concurrent use.
type Peers struct {
	mu sync.Mutex
	of map[uuid.UUID]model.Peer
}

// Heard takes down what a device holds now, in place of what it held before: one
// that was set back holds less.
func (p *Peers) Heard(replica uuid.UUID, holds model.Peer) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.of == nil {
		p.of = map[uuid.UUID]model.Peer{}
	}
	p.of[replica] = holds
}

// All returns what is known. The map is the caller's.
func (p *Peers) All() map[uuid.UUID]model.Peer {
	p.mu.Lock()
	defer p.mu.Unlock()
	return maps.Clone(p.of)
}

const format = "ampwright-peers/1"

// fileJSON is how peers are kept.
type fileJSON struct {
	Format string     `json:"format"` // "ampwright-peers/1"
	Peers  []peerJSON `json:"peers"`
}

type peerJSON struct {
	Replica uuid.UUID                `json:"replica"`
	Heard   time.Time                `json:"heard"` // by this device's clock
	Heads   map[uuid.UUID][]headJSON `json:"heads"` // of each chain it holds
}

type headJSON struct {
	Seq uint64 `json:"seq"`
	ID  string `json:"id"` // hexadecimal
}

// Bytes writes the peers for [Read].
func (p *Peers) Bytes() []byte {
	all := p.All()
	f := fileJSON{Format: format, Peers: []peerJSON{}}
	for _, id := range slices.SortedFunc(maps.Keys(all), func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) }) {
		j := peerJSON{id, all[id].Heard.UTC(), map[uuid.UUID][]headJSON{}}
		for replica, heads := range all[id].Vector {
			for _, h := range heads {
				j.Heads[replica] = append(j.Heads[replica], headJSON{h.Seq, h.ID.String()})
			}
		}
		f.Peers = append(f.Peers, j)
	}
	return jsontext.Append(nil, f)
}

// Read returns the peers that Bytes wrote. After an error they know none.
func Read(data []byte) (*Peers, error) {
	p := new(Peers)
	var f fileJSON
	if err := jsontext.Read(data, &f); err != nil {
		return p, fmt.Errorf("read peers: %w", err)
	}
	if f.Format != format {
		return p, fmt.Errorf("read peers: format %q, want %q", f.Format, format)
	}
	of := map[uuid.UUID]model.Peer{}
	for _, j := range f.Peers {
		v := model.Vector{}
		for replica, heads := range j.Heads {
			for _, h := range heads {
				id, err := model.ParseID(h.ID)
				if err != nil {
					return p, fmt.Errorf("read peers: %w", err)
				}
				v[replica] = append(v[replica], model.Head{Seq: h.Seq, ID: id})
			}
		}
		of[j.Replica] = model.Peer{Vector: v, Heard: j.Heard}
	}
	p.of = of
	return p, nil
}
