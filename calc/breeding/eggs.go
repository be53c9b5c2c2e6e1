package breeding

func eggTasks(l Length) []Task { return nil }
