package check

func (k *Checker) changes() {}
