// Command bare opens a household file and reads one row: what start-up is
// measured against.
package main

import (
	"database/sql"
	"fmt"
	"os"

	_ "modernc.org/sqlite"
)

func main() {
	db, err := sql.Open("sqlite", "file:"+os.Args[1]+"?_journal_mode=WAL&_synchronous=FULL&_foreign_keys=on&_busy_timeout=5000")
	if err != nil {
		panic(err)
	}
	defer db.Close()
	var chat string
	if err := db.QueryRow(`SELECT chat FROM household`).Scan(&chat); err != nil {
		panic(err)
	}
	fmt.Println(chat)
}
