package book

import (
	"bytes"
	"fmt"

	"ampwright/model"
)

// seal seals a commit of this replica.
func (b *Book) seal(raws [][]byte) ([]model.Seal, error) {
	if b.cfg.Sign == nil || len(raws) == 0 {
		return nil, nil
	}
	return model.SealCommit(raws, b.cfg.Sign)
}

// noteSeals tells the fold of seals that are stored.
func (b *Book) noteSeals(seals []model.Seal) error {
	for _, s := range seals {
		if err := b.fold.AddSeal(s); err != nil {
			return err
		}
	}
	return nil
}

// catchUp seals what this replica wrote before it sealed. Under another key than
// its first entry carries it could not: it goes on under a new name then.
func (b *Book) catchUp() error {
	if b.cfg.Sign == nil {
		return nil
	}
	if key, _ := b.fold.KeyOf(b.cfg.Replica); !bytes.Equal(key, b.cfg.Key) {
		return b.become(fmt.Sprintf("the first entry of replica %s does not carry this device's key", b.cfg.Replica))
	}
	from := uint64(0)
	if seals := b.fold.Seals(b.cfg.Replica); len(seals) > 0 {
		from = seals[len(seals)-1].Head.Seq
	}
	if from >= b.pen.Head.Seq {
		return nil
	}
	raws := make([][]byte, 0, b.pen.Head.Seq-from)
	err := b.fold.All(func(raw []byte) error {
		link, err := model.LinkOf(raw)
		if err == nil && link.Replica == b.cfg.Replica && link.Seq > from {
			raws = append(raws, raw)
		}
		return err
	})
	if err != nil {
		return err
	}
	seals, err := b.seal(raws)
	if err != nil {
		return err
	}
	if err := b.log.Append(nil, seals...); err != nil {
		return fmt.Errorf("seal what was written before: %w", err)
	}
	return b.noteSeals(seals)
}
