#include "cli/commands.h"

int main(int argc, char** argv) { return scruple::run_program(argc, argv); }
