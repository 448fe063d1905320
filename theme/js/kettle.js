/* Written by Kettlebook at every build: changes made here are lost. */
