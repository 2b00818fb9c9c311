"""What will be built, exactly: members as straights and bends, joints, copes, feet; the shell, its gaps."""
