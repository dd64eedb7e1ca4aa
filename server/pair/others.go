package pair

import (
	"crypto/sha256"
	"errors"
	"net/netip"
)

// Laptops listens on the local network for other laptops of the garage, too, now
// and whenever it is served, or no longer. It returns the addresses they find it
// at.
func (d *Desk) Laptops(on bool) (at []string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	own := d.cfg.Addresses()
	if ip, err := netip.ParseAddr(d.cfg.Host); err == nil {
		own = []netip.Addr{ip}
	}
	if on && len(own) == 0 {
		return nil, errors.New("this computer has no private IPv4 address now: connect it to the network")
	}
	if d.authority == nil {
		if !on {
			return nil, nil
		}
		if d.authority, err = NewAuthority("", false, d.cfg.Now()); err != nil {
			return nil, err
		}
	}
	if d.authority.Laptops != on {
		d.authority.Laptops = on
		if err := d.authority.Write(d.cfg.Dir); err != nil {
			return nil, err
		}
	}
	if !on {
		if d.setup != nil { // a phone is being added
			return nil, nil
		}
		return nil, d.settle()
	}
	if err := d.listen(); err != nil {
		return nil, err
	}
	for _, ip := range own {
		at = append(at, netip.AddrPortFrom(ip, uint16(d.authority.Port)).String())
	}
	return at, nil
}

// ForLaptops reports whether other laptops of the garage are answered.
func (d *Desk) ForLaptops() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.authority != nil && d.authority.Laptops
}

// Pin returns the SHA-256 of the certificate that signs the server's, in DER, by
// which another laptop knows it. There is one after Laptops.
func (d *Desk) Pin() [sha256.Size]byte {
	d.mu.Lock()
	defer d.mu.Unlock()
	return sha256.Sum256(d.authority.issuing.Raw)
}

// wanted reports whether anybody is to be answered. The caller holds the lock.
func (d *Desk) wanted() bool {
	return d.authority != nil && d.authority.Laptops || len(d.phones.List()) > 0
}
