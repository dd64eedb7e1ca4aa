package main

import (
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/server/garage"

	"github.com/google/uuid"
)

// heard returns what other devices were last heard to hold. A server that has
// the garage open keeps it in the folder as it hears it.
func (p *program) heard() map[uuid.UUID]model.Peer {
	dir, err := p.place()
	if err != nil {
		return nil
	}
	return garage.ReadPeers(dir).All()
}

// counting returns the peers whose copies count.
func (p *program) counting(l *model.Logbook) map[uuid.UUID]model.Peer {
	dir, err := p.place()
	if err != nil {
		return nil
	}
	own, _ := garage.ReadDevice(dir) // none yet, or damaged: then nobody is here
	_, devices := l.Garage()
	return model.Counting(p.heard(), devices, own.Replica)
}

// keptOn returns the names of the other devices known to hold an entry, nil if
// that is not looked at.
func (v view) keptOn(id model.ID, devices []model.Device) []string {
	if v.kept == nil {
		return nil
	}
	names := []string{}
	for _, h := range v.kept.Of(id) {
		names = append(names, model.Label(devices, h.Replica))
	}
	return names
}

// aloneWords says what is on this device only; "" if that is not looked at.
func (v view) aloneWords() string {
	if v.kept == nil {
		return ""
	}
	n, oldest := v.kept.Alone()
	return words.Alone(n, v.now.Sub(oldest.Time()))
}
