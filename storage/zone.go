package storage

import (
	"sync"
	"time"
	_ "time/tzdata" // zones exist on a bare machine too
)

var zones sync.Map // name -> *time.Location

// loadZone keeps zones, which take a while to read.
func loadZone(name string) (*time.Location, error) {
	if z, ok := zones.Load(name); ok {
		return z.(*time.Location), nil
	}
	z, err := time.LoadLocation(name)
	if err != nil {
		return time.UTC, err
	}
	zones.Store(name, z)
	return z, nil
}
