package garage

import (
	"errors"
	"os"
	"path/filepath"

	"ampwright/model"
	"ampwright/sync/peers"

	"github.com/google/uuid"
)

// peersFile holds what other devices were last heard to hold, as
// [ampwright/sync/peers] writes it.
const peersFile = "peers.json"

// ReadPeers returns what is kept in dir of other devices; nothing if the file
// does not read. They say so again when they next connect.
func ReadPeers(dir string) *peers.Peers {
	data, err := os.ReadFile(filepath.Join(dir, peersFile))
	if err != nil {
		return new(peers.Peers)
	}
	p, _ := peers.Read(data)
	return p
}

// Peers returns what other devices were last heard to hold.
func (g *Garage) Peers() map[uuid.UUID]model.Peer { return g.peers.All() }

// Heard takes down what another device holds, and keeps it in the folder. It is
// kept for people to look at, so an error of the disk loses nothing but that.
func (g *Garage) Heard(replica uuid.UUID, holds model.Peer) {
	g.peers.Heard(replica, holds)
	g.peersWriting.Lock()
	defer g.peersWriting.Unlock()
	replace(filepath.Join(g.dir, peersFile), g.peers.Bytes())
}

// replace puts a file in the place of another, whole or not at all, but for a
// loss of power: then it may be empty.
func replace(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".*") // 0600
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err := errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
