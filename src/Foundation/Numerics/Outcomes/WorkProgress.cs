namespace Hillrow.Numerics;

/// <summary>How far a piece of work is, in the user's words ("placing captures"), not the algorithm's.</summary>
/// <param name="What">What is being done, present tense, lower case.</param>
/// <param name="ShareDone">0 … 1.</param>
public readonly record struct WorkProgress(string What, double ShareDone);
