using System.Reflection;
using System.Reflection.Emit;

namespace Tonematch.Architecture.Tests;

/// <summary>Which types a type uses: in its base, its members' signatures, its locals and its code.</summary>
internal static class TypeUse
{
    private const BindingFlags All =
        BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    private static readonly Dictionary<short, OpCode> s_opCodes = typeof(OpCodes).GetFields(BindingFlags.Public | BindingFlags.Static)
        .Select(f => (OpCode)f.GetValue(null)!)
        .ToDictionary(o => o.Value);

    public static IReadOnlySet<Type> Of(Type type)
    {
        HashSet<Type> used = [];
        Add(used, type.BaseType);
        foreach (Type i in type.GetInterfaces())
        {
            Add(used, i);
        }

        foreach (FieldInfo field in type.GetFields(All))
        {
            Add(used, field.FieldType);
        }

        foreach (MethodBase method in type.GetMethods(All).Cast<MethodBase>().Concat(type.GetConstructors(All)))
        {
            Add(used, (method as MethodInfo)?.ReturnType);
            foreach (ParameterInfo parameter in method.GetParameters())
            {
                Add(used, parameter.ParameterType);
            }

            if (method.GetMethodBody() is MethodBody body)
            {
                foreach (LocalVariableInfo local in body.LocalVariables)
                {
                    Add(used, local.LocalType);
                }

                foreach (ExceptionHandlingClause clause in body.ExceptionHandlingClauses.Where(c => c.Flags == ExceptionHandlingClauseOptions.Clause))
                {
                    Add(used, clause.CatchType);
                }

                AddCode(used, method, body.GetILAsByteArray() ?? []);
            }
        }

        return used;
    }

    private static void AddCode(HashSet<Type> used, MethodBase method, byte[] code)
    {
        Type[]? typeArguments = method.DeclaringType is { IsGenericType: true } d ? d.GetGenericArguments() : null;
        Type[]? methodArguments = method.IsGenericMethod ? method.GetGenericArguments() : null;
        for (int at = 0; at < code.Length;)
        {
            short value = code[at] == 0xfe ? unchecked((short)(0xfe00 | code[at + 1])) : code[at];
            OpCode opCode = s_opCodes[value];
            at += opCode.Size;
            switch (opCode.OperandType)
            {
                case OperandType.InlineField or OperandType.InlineMethod or OperandType.InlineTok or OperandType.InlineType:
                    MemberInfo? member = method.Module.ResolveMember(BitConverter.ToInt32(code, at), typeArguments, methodArguments);
                    Add(used, member as Type ?? member?.DeclaringType);
                    if (member is MethodInfo { IsGenericMethod: true } generic)
                    {
                        foreach (Type argument in generic.GetGenericArguments())
                        {
                            Add(used, argument);
                        }
                    }

                    at += 4;
                    break;
                case OperandType.InlineSwitch:
                    at += 4 + (4 * BitConverter.ToInt32(code, at));
                    break;
                case OperandType.InlineNone:
                    break;
                case OperandType.ShortInlineBrTarget or OperandType.ShortInlineI or OperandType.ShortInlineVar:
                    at += 1;
                    break;
                case OperandType.InlineVar:
                    at += 2;
                    break;
                case OperandType.InlineI8 or OperandType.InlineR:
                    at += 8;
                    break;
                default:
                    at += 4;
                    break;
            }
        }
    }

    private static void Add(HashSet<Type> used, Type? type)
    {
        if (type is null || type.IsGenericParameter)
        {
            return;
        }

        if (type.HasElementType)
        {
            Add(used, type.GetElementType());
            return;
        }

        if (type.IsGenericType)
        {
            foreach (Type argument in type.GetGenericArguments())
            {
                Add(used, argument);
            }
        }

        used.Add(type);
    }
}
