package bolt

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"ampwright/model"
	"ampwright/sync/keep"

	"go.etcd.io/bbolt"
)

// upgrade makes a place for seals in a file of schema 1, which had none.
func (s *Store) upgrade() error {
	old := false
	err := guard(func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			old = tx.Bucket(sealsBucket) == nil
			return nil
		})
	})
	if err != nil || !old {
		return err
	}
	return s.update(func(tx *bbolt.Tx) error {
		_, err := tx.CreateBucket(sealsBucket)
		return errors.Join(err, tx.Bucket(aboutBucket).Put(schemaKey, schemaText))
	})
}

// looseSeal is the key of a seal in "loose": one byte longer than a run's, and on
// the page that its run is written to anyway. A page more would make a small
// append a tenth slower (measured).
func looseSeal(s model.Seal) []byte {
	key := keep.SealKey(s)
	return append(key[:], 's')
}

// sealIn reads an item of a bucket. It is false if the item is no seal.
func sealIn(bucket, key, value []byte) (s model.Seal, ok bool, err error) {
	if bytes.Equal(bucket, looseBucket) {
		if key, ok = bytes.CutSuffix(key, []byte{'s'}); !ok || len(key) != len(keep.Key{}) {
			return s, false, nil
		}
	} else if !bytes.Equal(bucket, sealsBucket) || bytes.Equal(key, packKey) {
		return s, false, nil
	}
	s, err = keep.SealOf(key, value)
	return s, true, err
}

// has reports whether the file has a seal of that entry.
func has(tx *bbolt.Tx, s model.Seal) bool {
	key := looseSeal(s)
	return tx.Bucket(looseBucket).Get(key) != nil || tx.Bucket(sealsBucket).Get(key[:len(key)-1]) != nil
}

// sealed reports whether the store has all these seals.
func (s *Store) sealed(seals []model.Seal) (all bool, err error) {
	err = guard(func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			all = !slices.ContainsFunc(seals, func(seal model.Seal) bool { return !has(tx, seal) })
			return nil
		})
	})
	return all, err
}

// putSeals stores those that are not there, and returns how many.
func putSeals(tx *bbolt.Tx, seals []model.Seal) (fresh int, err error) {
	for _, seal := range seals {
		if has(tx, seal) {
			continue
		}
		if err := tx.Bucket(looseBucket).Put(looseSeal(seal), seal.Sig[:]); err != nil {
			return fresh, err
		}
		fresh++
	}
	return fresh, nil
}

// eachSeal calls f with the seals of a bucket.
func eachSeal(tx *bbolt.Tx, bucket []byte, f func(model.Seal) error) error {
	return tx.Bucket(bucket).ForEach(func(key, value []byte) error {
		seal, ok, err := sealIn(bucket, key, value)
		if !ok || err != nil {
			return err
		}
		return f(seal)
	})
}

// packSeals moves the seals out of "loose".
func packSeals(tx *bbolt.Tx) error {
	b := tx.Bucket(sealsBucket)
	moved := uint64(0)
	err := eachSeal(tx, looseBucket, func(seal model.Seal) error {
		key := keep.SealKey(seal)
		moved++
		return b.Put(key[:], seal.Sig[:])
	})
	return errors.Join(err, b.SetSequence(b.Sequence()+moved))
}

// thin drops the seals of a run that are not needed beside the others.
func thin(tx *bbolt.Tx, span keep.Span, run []byte) error {
	b := tx.Bucket(sealsBucket)
	from := span.Key()
	clear(from[24:]) // the lowest name
	var seals []model.Seal
	c := b.Cursor()
	for key, sig := c.Seek(from[:]); bytes.HasPrefix(key, from[:16]); key, sig = c.Next() {
		seal, err := keep.SealOf(key, sig)
		if err != nil {
			return err
		}
		if seal.Head.Seq > span.End() {
			break
		}
		seals = append(seals, seal)
	}
	if len(seals) < 2 {
		return nil
	}
	forget, err := keep.Thin(run, seals)
	if err != nil || len(forget) == 0 {
		return err
	}
	for _, seal := range forget {
		key := keep.SealKey(seal)
		if err := b.Delete(key[:]); err != nil {
			return err
		}
	}
	return b.SetSequence(b.Sequence() - uint64(len(forget)))
}

// Seals calls f with all that were stored when it was called, as [keep.Log]
// says. An append may have to wait until it returns.
func (s *Store) Seals(f func(model.Seal) error) error {
	var seals []model.Seal
	err := guard(func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			note := func(seal model.Seal) error {
				seals = append(seals, seal)
				return nil
			}
			return errors.Join(eachSeal(tx, sealsBucket, note), eachSeal(tx, looseBucket, note))
		})
	})
	if err != nil {
		return fmt.Errorf("read %s: %w", s.path(), err)
	}
	keep.SortSeals(seals)
	for _, seal := range seals {
		if err := f(seal); err != nil {
			return err
		}
	}
	return nil
}
